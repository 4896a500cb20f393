/**
 * Placing: straight on crooked cloth, and back onto a piece; each section against its own simulated truth. Words choose
 * sections: `npx tsx bench/quality/placing.ts coverage`; a number sets how many photos the photo sections take (they need minutes).
 */
import { seededChance } from "#core/base";
import { geometrySections } from "./placing-geometry";
import { photoSections } from "./placing-photos";

const sections = Object.entries({ ...geometrySections, ...photoSections });
const words = process.argv.slice(2).filter((word) => sections.some(([name]) => name.includes(word)));
const chance = seededChance(606);
for (const [name, table] of sections) {
  // Each has a stream of its own, so that one alone prints what it prints among all.
  const own = chance.split();
  if (words.length === 0 || words.some((word) => name.includes(word))) await table(own);
}

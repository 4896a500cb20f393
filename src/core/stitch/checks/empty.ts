import type { DesignCheck } from "./check";

/** A design nobody can sew: no stitch at all, or a part without any. */
export const emptyParts: DesignCheck = ({ counts }) => {
  if (counts.stitches === 0) {
    return [{ code: "no-stitches", level: "stop", message: "The design has no stitches." }];
  }
  const empty = counts.parts.flatMap((part, index) => (part.stitches === 0 ? [index] : []));
  if (empty.length === 0) return [];
  return [
    {
      code: "part-without-stitches",
      level: "note",
      message: `Part ${empty.map((part) => part + 1).join(", ")} of ${counts.parts.length} has no stitches: two colour stops follow each other.`,
      at: { part: empty[0]! },
    },
  ];
};

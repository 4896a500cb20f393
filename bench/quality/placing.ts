/** Placing: straight on crooked cloth, and back onto a piece; each section against its own simulated truth. */
import { seededChance } from "#core/base";
import { geometryTables } from "./placing-geometry";

geometryTables(seededChance(606));

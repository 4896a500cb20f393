import { densestSquare } from "../report";
import type { DesignCheck } from "./check";

/** TRADE.md: over 12 penetrations on a square mm anywhere is a lump (common practice, no source). */
const MOST_PER_MM2 = 12;

/** A spot where the needle goes in so often that the thread breaks and the cloth is cut. */
export const denseSpot: DesignCheck = ({ design }) => {
  const { count, xTenths, yTenths } = densestSquare(design);
  if (count <= MOST_PER_MM2) return [];
  return [
    {
      code: "dense-spot",
      level: count > 2 * MOST_PER_MM2 ? "stop" : "warning",
      message: `${count} needle points lie on one square millimetre; over ${MOST_PER_MM2} thread breaks and cloth is cut.`,
      advice: "Look at the marked place; a part may be sewn twice.",
      at: { xTenths, yTenths },
    },
  ];
};

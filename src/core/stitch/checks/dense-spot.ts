import { fullSquares } from "../report";
import { type DesignCheck, MOST_PLACES } from "./check";

/** TRADE.md: over 12 penetrations on a square mm anywhere is a lump (common practice, no source). */
const MOST_PER_MM2 = 12;

/** A spot where the needle goes in so often that the thread breaks and the cloth is cut. */
export const denseSpot: DesignCheck = ({ design }) => {
  const squares = fullSquares(design, MOST_PER_MM2, MOST_PLACES);
  if (squares.length === 0) return [];
  const { count, xTenths, yTenths } = squares[0]!;
  return [
    {
      code: "dense-spot",
      level: count > 2 * MOST_PER_MM2 ? "stop" : "warning",
      message: `${count} needle points lie on one square millimetre; over ${MOST_PER_MM2} thread breaks and cloth is cut.`,
      advice: "Look at the marked place; a part may be sewn twice.",
      at: { xTenths, yTenths },
      ...(squares.length > 1
        ? { places: squares.map((one) => ({ xTenths: one.xTenths + 5, yTenths: one.yTenths + 5 })) }
        : {}),
    },
  ];
};

import { describe, expect, it } from "vitest";
import type { Orientation } from "./exif";
import { alreadyTurned, swapsSides, turnedUpright, undoing } from "./orientation";

/** A picture of letters, a byte each. */
const letters = (rows: readonly string[]) => ({
  widthPx: rows[0]!.length,
  heightPx: rows.length,
  data: Uint8Array.from([...rows.join("")].map((one) => one.charCodeAt(0))),
});
const rowsOf = ({ widthPx, heightPx, data }: ReturnType<typeof letters>) =>
  Array.from({ length: heightPx }, (_, y) =>
    String.fromCharCode(...data.slice(y * widthPx, (y + 1) * widthPx)),
  );

describe("turning upright", () => {
  // Exif (CIPA DC-008), tag 0112H: which side of the scene the stored row 0 and column 0 show. From memory.
  // The upright picture is F over two rows: "ab" / "c." / "d.".
  const upright = ["ab", "c.", "d."];
  it.each<readonly [Orientation, string, readonly string[]]>([
    [1, "row 0 top, column 0 left", ["ab", "c.", "d."]],
    [2, "row 0 top, column 0 right", ["ba", ".c", ".d"]],
    [3, "row 0 bottom, column 0 right", [".d", ".c", "ba"]],
    [4, "row 0 bottom, column 0 left", ["d.", "c.", "ab"]],
    [5, "row 0 left, column 0 top", ["acd", "b.."]],
    [6, "row 0 right, column 0 top", ["b..", "acd"]],
    [7, "row 0 right, column 0 bottom", ["..b", "dca"]],
    [8, "row 0 left, column 0 bottom", ["dca", "..b"]],
  ])("%d: %s", (orientation, _sides, stored) => {
    expect(rowsOf(turnedUpright(letters(stored), orientation) as ReturnType<typeof letters>)).toEqual(
      upright,
    );
    const back = turnedUpright(letters(upright), undoing(orientation));
    expect(rowsOf(back as ReturnType<typeof letters>)).toEqual(stored);
    expect(swapsSides(orientation)).toBe(stored.length === 2);
  });

  it("moves whole colours", () => {
    const data = Uint8ClampedArray.of(1, 2, 3, 4, 5, 6, 7, 8);
    const turned = turnedUpright({ widthPx: 2, heightPx: 1, data }, 6);
    expect(turned).toEqual({ widthPx: 1, heightPx: 2, data });
    expect([...turnedUpright({ widthPx: 2, heightPx: 1, data }, 2).data]).toEqual([5, 6, 7, 8, 1, 2, 3, 4]);
  });

  it("tells by the size whether the browser has turned it", () => {
    const stored = { widthPx: 4000, heightPx: 3000, orientation: 6 as Orientation };
    expect(alreadyTurned(stored, { widthPx: 3000, heightPx: 4000 })).toBe("turned");
    expect(alreadyTurned(stored, { widthPx: 2000, heightPx: 1500 })).toBe("stored");
    expect(alreadyTurned({ ...stored, orientation: 3 }, { widthPx: 4000, heightPx: 3000 })).toBe("unknown");
    expect(alreadyTurned({ ...stored, widthPx: 3000 }, { widthPx: 3000, heightPx: 3000 })).toBe("unknown");
    expect(alreadyTurned({ ...stored, orientation: 1 }, { widthPx: 40, heightPx: 30 })).toBe("turned");
  });
});

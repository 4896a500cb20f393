import { describe, expect, it } from "vitest";
import { directHomography, fitHomography, inverseHomography, mapped, type Place } from "./homography";

// Points: public course exercise data for the normalised DLT (Hartley & Zisserman, Multiple View Geometry, 2nd ed. 2004,
// Algorithm 4.2). H and residuals: computed from them with numpy's SVD.
const twelveFrom: Place[] = [[139, 23], [434, 326], [599, 185], [332, 400], [22, 25], [340, 323], [4, 183], [42, 202], [438, 282], [596, 405], [336, 43], [421, 200]]; // prettier-ignore
const twelveTo: Place[] = [[365, 322], [501, 347], [606, 454], [435, 280], [30, 80], [457, 307], [92, 23], [177, 92], [516, 365], [540, 374], [559, 449], [533, 391]]; // prettier-ignore
const numpyH = [6.52372, 1.80802, -148.614, 5.064, 0.219426, -6.26369, 0.00741984, 0.00707715, 1];

const errors = (h: ReturnType<typeof fitHomography>, from: Place[], to: Place[]) =>
  from.map((one, i) => Math.hypot(mapped(h, one)[0] - to[i]![0], mapped(h, one)[1] - to[i]![1]));
const rms = (values: number[]) => Math.sqrt(values.reduce((sum, one) => sum + one * one, 0) / values.length);

describe("a homography", () => {
  it("of twelve clicked points is what a general matrix library finds", () => {
    const h = directHomography(twelveFrom, twelveTo);
    h.flat().forEach((value, i) => expect(Math.abs(value / numpyH[i]! - 1)).toBeLessThan(1e-5));
    expect(rms(errors(h, twelveFrom, twelveTo))).toBeCloseTo(1.424, 3);
    expect(Math.max(...errors(h, twelveFrom, twelveTo))).toBeCloseTo(2.55, 2);
  });

  it("leaves less error in the photo after refinement than before", () => {
    const direct = rms(errors(directHomography(twelveFrom, twelveTo), twelveFrom, twelveTo));
    const refined = rms(errors(fitHomography(twelveFrom, twelveTo), twelveFrom, twelveTo));
    expect(refined).toBeLessThan(direct);
    // The minimum that scipy 1.17's least_squares finds from the same data.
    expect(refined).toBeCloseTo(1.26243746994, 9);
  });

  it("of an A4 sheet's corners gives the sheet's middle", () => {
    // Worked example: exact four-point homography, two solvers agree (0.001).
    const mm: Place[] = [[0, 0], [210, 0], [210, 297], [0, 297]]; // prettier-ignore
    const px: Place[] = [[412, 318], [1630, 402], [1541, 2105], [331, 1988]]; // prettier-ignore
    const h = fitHomography(mm, px);
    const printed = [
      5.64684142, -0.266976341, 412, 0.362227148, 5.65743596, 318, -9.39623175e-5, 1.73744171e-5, 1,
    ];
    h.flat().forEach((value, i) => expect(Math.abs(value / printed[i]! - 1)).toBeLessThan(1e-6));
    const [x, y] = mapped(h, [105, 148.5]);
    expect(x).toBeCloseTo(972.3569, 3);
    expect(y).toBeCloseTo(1204.9422, 3);
    const back = mapped(inverseHomography(h), [x, y]);
    expect(back[0]).toBeCloseTo(105, 6);
    expect(back[1]).toBeCloseTo(148.5, 6);
  });

  it("of the unit square agrees with the closed form", () => {
    // P. Heckbert, Fundamentals of Texture Mapping and Image Warping, UCB/CSD 89/516 (1989), section 2.2.3 (from memory).
    const quad: Place[] = [[0, 0], [4, 0.5], [3.2, 3.1], [-0.4, 2.2]]; // prettier-ignore
    const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = quad as [Place, Place, Place, Place];
    const [dx1, dx2, sx] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
    const [dy1, dy2, sy] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
    const del = dx1 * dy2 - dx2 * dy1;
    const g = (sx * dy2 - dx2 * sy) / del;
    const k = (dx1 * sy - sx * dy1) / del;
    const closed = [x1 - x0 + g * x1, x3 - x0 + k * x3, x0, y1 - y0 + g * y1, y3 - y0 + k * y3, y0, g, k, 1];
    const found = fitHomography([[0, 0], [1, 0], [1, 1], [0, 1]], quad); // prettier-ignore
    found.flat().forEach((value, i) => expect(value).toBeCloseTo(closed[i]!, 10));
  });

  it("that no camera can see is refused", () => {
    // Public teaching example for DLT whose target quad is not convex: the denominator changes its sign.
    const from: Place[] = [[5, 1], [220, 1], [220, 411], [5, 411]]; // prettier-ignore
    const to: Place[] = [[375, 20], [420, 20], [420, 300], [450, 290]]; // prettier-ignore
    expect(() => fitHomography(from, to)).toThrowError(/behind the camera/);
  });

  it("of points in one line, or too few, is refused", () => {
    const line: Place[] = [[0, 0], [1, 1], [2, 2], [3, 3], [5, 5]]; // prettier-ignore
    expect(() => fitHomography(line, line)).toThrowError(/one line/);
    const three: Place[] = [[0, 0], [1, 1], [2, 2], [7, 1]]; // prettier-ignore
    expect(() => fitHomography(three, [[0, 0], [10, 11], [21, 20], [70, 12]])).toThrowError(/one line|behind/); // prettier-ignore
    expect(() => fitHomography(line.slice(0, 3), line.slice(0, 3))).toThrowError(/4 marks/);
  });
});

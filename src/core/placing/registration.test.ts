import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { expectedError } from "./expected-error";
import { degreesOf, type PointMm, posed } from "./points";
import { registerPiece } from "./registration";
import { rigidFit, similarityFit, targetError, type TouchedPoint } from "./rigid-fit";
import { between, normal } from "./some-views";

const pairs = (from: readonly (readonly number[])[], to: readonly (readonly number[])[]): TouchedPoint[] =>
  from.map(([x, y], i) => ({ design: { xMm: x!, yMm: y! }, touched: { xMm: to[i]![0]!, yMm: to[i]![1]! } }));
const box = [[-50, -30], [50, -30], [50, 30], [-50, 30]].map(([xMm, yMm]): PointMm => ({ xMm: xMm!, yMm: yMm! })); // prettier-ignore

/** The design touched with noise, `off` more at one of the points. */
function touches(
  chance: ReturnType<typeof seededChance>,
  points: readonly PointMm[],
  sigma: number,
  off = 0,
) {
  const pose = {
    xMm: between(chance, -20, 20),
    yMm: between(chance, -20, 20),
    angleRad: between(chance, -0.3, 0.3),
  };
  const bad = chance.below(points.length);
  const way = between(chance, 0, 2 * Math.PI);
  const touched = points.map((design, i): TouchedPoint => {
    const at = posed(pose, design);
    const more = i === bad ? off : 0;
    return {
      design,
      touched: {
        xMm: at.xMm + sigma * normal(chance) + more * Math.cos(way),
        yMm: at.yMm + sigma * normal(chance) + more * Math.sin(way),
      },
    };
  });
  return { pose, bad, touched };
}

describe("the rigid fit", () => {
  it("of Umeyama's example turns instead of mirroring", () => {
    // S. Umeyama, IEEE TPAMI 13 (1991) 376–380: R = [0.832 0.555; −0.555 0.832], c = 0.721, t = (−0.800, 0.400), error
    // per coordinate 0.516 (±0.0006; a fit that forgets the sign matrix mirrors here).
    const { scale, pose, squares } = similarityFit(pairs([[0, 0], [1, 0], [0, 2]], [[0, 0], [-1, 0], [0, 2]])); // prettier-ignore
    expect(Math.cos(pose.angleRad)).toBeCloseTo(0.832, 3);
    expect(Math.sin(pose.angleRad)).toBeCloseTo(-0.555, 3);
    expect(scale).toBeCloseTo(0.721, 3);
    expect(pose.xMm).toBeCloseTo(-0.8, 3);
    expect(pose.yMm).toBeCloseTo(0.4, 3);
    expect(Math.sqrt(squares / 6)).toBeCloseTo(0.516, 3);
  });

  it("of a worked example agrees with the SVD solution", () => {
    // Own example; Kabsch–Umeyama by numpy's SVD and the closed form agree.
    const example = pairs([[0, 0], [100, 0], [100, 60], [0, 60]], [[12.4, -5.2], [110.954615, 7.286934], [104.142455, 67.239703], [4.587839, 54.252769]]); // prettier-ignore
    const pose = rigidFit(example);
    expect(degreesOf(pose.angleRad)).toBeCloseTo(7.235703, 5);
    expect(pose.xMm).toBeCloseTo(12.19795, 5);
    expect(pose.yMm).toBeCloseTo(-5.163812, 5);
    const { misses } = registerPiece(example, 0.5);
    expect(Math.sqrt(misses.reduce((all, one) => all + one.xMm ** 2 + one.yMm ** 2, 0) / 4)).toBeCloseTo(
      0.334445,
      5,
    );
  });

  it("leaves residuals of σ√(1 − 3/2n), and misses a target as Fitzpatrick's law says", () => {
    // R. Hartley, A. Zisserman (2004) Result 5.2 (from memory); J. M. Fitzpatrick et al., IEEE TMI 17 (1998) 694–702, 2-D.
    const chance = seededChance(21);
    const corners = box.map(({ xMm, yMm }) => ({ xMm: xMm + 50, yMm: yMm + 30 }));
    const far = { xMm: 150, yMm: 90 };
    let [left, missed] = [0, 0];
    const rounds = 20_000;
    for (let k = 0; k < rounds; k++) {
      const { pose, touched } = touches(chance, corners, 0.5);
      const fit = rigidFit(touched);
      for (const { design, touched: at } of touched) {
        const put = posed(fit, design);
        left += (put.xMm - at.xMm) ** 2 + (put.yMm - at.yMm) ** 2;
      }
      const [a, b] = [posed(fit, far), posed(pose, far)];
      missed += (a.xMm - b.xMm) ** 2 + (a.yMm - b.yMm) ** 2;
    }
    expect(Math.sqrt(left / rounds / 8) / (0.5 * Math.sqrt(1 - 3 / 8))).toBeCloseTo(1, 1.7);
    expect(targetError(corners, 0.5, far)).toBeCloseTo(0.6124, 4);
    expect(Math.sqrt(missed / rounds) / 0.6124).toBeCloseTo(1, 1.7);
  });
});

describe("going back onto a piece", () => {
  it("finds and names a touch that is 3 mm off among five, and seldom cries wolf", () => {
    const chance = seededChance(22);
    const five = [...box, { xMm: 5, yMm: 12 }];
    let [named, alarms] = [0, 0];
    for (let k = 0; k < 600; k++) {
      const wrong = touches(chance, five, 0.5, between(chance, 3, 6));
      if (registerPiece(wrong.touched, 0.5).wrongTouch?.index === wrong.bad) named++;
      if (registerPiece(touches(chance, five, 0.5).touched, 0.5).wrongTouch !== null) alarms++;
    }
    expect(named / 600).toBeGreaterThan(0.95);
    expect(alarms / 600).toBeLessThan(0.06);
  });

  it("is within 0.5 mm rms over a 100 mm design from four touches of 0.5 mm, and says so truly", () => {
    const chance = seededChance(23);
    let [squares, held] = [0, 0];
    for (let k = 0; k < 500; k++) {
      const { pose, touched } = touches(chance, box, 0.5);
      const found = registerPiece(touched, 0.5);
      const off = box.map((one) => {
        const [a, b] = [posed(pose, one), posed(found.pose, one)];
        return Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);
      });
      squares += off.reduce((all, one) => all + one * one, 0) / 4;
      if (Math.max(...off) <= expectedError(found, box).mm) held++;
    }
    expect(Math.sqrt(squares / 500)).toBeLessThan(0.5);
    expect(held / 500).toBeGreaterThan(0.93);
    expect(held / 500).toBeLessThan(0.975);
  });

  it("states an error that holds with one wrong touch of four too, and not at the cost of plain ones", () => {
    const chance = seededChance(24);
    const holds = (off: number) => {
      let [held, stated] = [0, 0];
      for (let k = 0; k < 300; k++) {
        const { pose, touched } = touches(chance, box, 0.5, off);
        const found = registerPiece(touched, 0.5);
        const expected = expectedError(found, box).mm;
        const worst = Math.max(...box.map((one) => { const [a, b] = [posed(pose, one), posed(found.pose, one)]; return Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm); })); // prettier-ignore
        if (worst <= expected) held++;
        stated += expected / 300;
      }
      return { held: held / 300, stated };
    };
    const [plain, wrong] = [holds(0), holds(3)];
    expect(wrong.held).toBeGreaterThan(0.92);
    // Four touches of 0.5 mm, none doubted: 1.08 mm.
    expect(plain.stated).toBeLessThan(1.2);
  });

  it("notices stretched cloth and leaves the stitches their size", () => {
    const stretched = box.map((design): TouchedPoint => ({
      design,
      touched: { xMm: design.xMm * 1.04, yMm: design.yMm * 1.04 },
    }));
    const found = registerPiece(stretched, 0.4);
    expect(found.findings.map((one) => one.code)).toContain("placing-cloth-stretched");
    expect(found.findings.find((one) => one.code === "placing-cloth-stretched")!.message).toMatch(
      /4\.0 % larger/,
    );
    expect(found.pose.angleRad).toBeCloseTo(0, 12);
    const sheared = box.map((design): TouchedPoint => ({
      design,
      touched: { xMm: design.xMm + 0.1 * design.yMm, yMm: design.yMm },
    }));
    expect(registerPiece(sheared, 0.4).findings.map((one) => one.code)).toContain("placing-cloth-stretched");
  });

  it("tells what two or three touches cannot show, and refuses one or a spot", () => {
    const some = box.map((design): TouchedPoint => ({ design, touched: design }));
    expect(registerPiece(some.slice(0, 2), 0.5).findings[0]!.message).toMatch(/nothing shows a mistake/);
    expect(registerPiece(some.slice(0, 3), 0.5).findings[0]!.message).toMatch(/cannot be told/);
    expect(() => registerPiece(some.slice(0, 1), 0.5)).toThrowError(/Two touched points/);
    const spot = [0, 1, 2].map((k): TouchedPoint => ({
      design: { xMm: k, yMm: 0 },
      touched: { xMm: k, yMm: 0 },
    }));
    expect(() => registerPiece(spot, 0.5)).toThrowError(/within 5 mm/);
  });
});

/**
 * Placing from rendered photos of 12 megapixels whose truth is known: markers found and none besides, corner errors,
 * places on a field of 360 × 200 mm worked out from the photo alone, whether the stated error holds, and the time from
 * photo to rectified picture. A number after the section's word sets how many photos or pictures it takes.
 */
import { Worker } from "node:worker_threads";
import { type Chance, seededChance } from "#core/base";
import {
  degreesOf,
  expectedError,
  type LensBelief,
  type PointMm,
  placeFromPhoto,
  placementPose,
  placeOnCloth,
  posed,
  viewHoop,
} from "#core/placing";
import { diagonal } from "../../src/core/placing/algebra";
import { bend } from "../../src/core/placing/lens";
import { findMarkers, type FoundMarker } from "../../src/core/placing/picture/find-markers";
import { markerCornersMm } from "../../src/core/placing/picture/marker-sheets";
import { CLOTH_KINDS } from "../../src/core/placing/picture/some-cloth";
import { NOTHING_KINDS, pictureWithoutMarkers } from "../../src/core/placing/picture/some-nothing";
import { type Photo, type PhotoAsk, renderPhoto, through } from "../../src/core/placing/picture/some-photos";
import { LENS_KINDS, someView } from "../../src/core/placing/picture/some-views";

const rms = (values: readonly number[]) =>
  Math.sqrt(values.reduce((all, one) => all + one * one, 0) / values.length);
const percent = (part: number, whole: number) => `${((100 * part) / whole).toFixed(2)} %`;
const share = (holds: readonly boolean[]) => `${holds.filter(Boolean).length} of ${holds.length}`;
const asked = (usual: number): number =>
  Number(process.argv.slice(2).find((word) => /^\d+$/.test(word)) ?? usual);
const normal = (chance: Chance) =>
  Math.sqrt(-2 * Math.log(1 - chance.next())) * Math.cos(2 * Math.PI * chance.next());
const box = (width: number, height: number): PointMm[] =>
  [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([x, y]) => ({ xMm: (x! * width) / 2, yMm: (y! * height) / 2 })); // prettier-ignore
const apart = (a: PointMm, b: PointMm) => Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);

const SIZE = { widthPx: 4000, heightPx: 3000 };
const FIELD = box(360, 200);
const OUTLINE = box(120, 80);
const BLURS = [0, 0.5, 1, 2] as const;

/** A phone measured on the grid sheet: what is believed of its lens is off by as much as such a measurement is. */
function measuredLens(chance: Chance, { lens }: PhotoAsk): LensBelief {
  const spread = [0.002, 0.002, 0.004, 3, 3];
  const off = spread.map((one) => one * normal(chance));
  const believed = {
    focalPx: lens.focalPx * Math.exp(off[0]!),
    k1: lens.k1 + off[1]!,
    k2: lens.k2 + off[2]!,
    centreXPx: lens.centreXPx + off[3]!,
    centreYPx: lens.centreYPx + off[4]!,
  };
  return { lens: believed, covariance: diagonal(spread.map((one) => one * one)) };
}

const covered = ({ scene }: PhotoAsk): Set<number> =>
  new Set(
    scene.markers
      .filter(({ centre }) => scene.covers.some(({ at, radiusMm }) => apart(centre, at) < radiusMm + 6))
      .map((one) => one.id),
  );

interface Seen {
  readonly view: PhotoAsk;
  readonly photo: Photo;
  readonly found: readonly FoundMarker[];
  readonly belief: LensBelief;
}

/**
 * Design points and a placed design from the photo alone, against where they really lie. What was taught is off by
 * 0.05 mm: three quarters of the variance the whole marker's, as the geometry takes it where nothing was measured; or
 * all of it, or none.
 */
function placed(chance: Chance, { view, photo, found, belief }: Seen, wholeShare: number) {
  const draw = (share: number) => [0.05 * Math.sqrt(share) * normal(chance), 0.05 * Math.sqrt(share) * normal(chance)] as const; // prettier-ignore
  const markers = view.scene.markers.map((one) => {
    const together = draw(wholeShare);
    return {
      id: one.id,
      spreadMm: 0.05,
      cornersMm: markerCornersMm(one).map(({ xMm, yMm }) => {
        const [x, y] = draw(1 - wholeShare);
        return { xMm: xMm + together[0] + x, yMm: yMm + together[1] + y };
      }),
    };
  });
  const hoop = { markers, clothBelowMm: view.scene.clothBelowMarkersMm, clothBelowSpreadMm: 0, printScaleShare: 0 }; // prettier-ignore
  const seen = viewHoop(hoop, found.map(({ id, cornersPx }) => ({ id, cornersPx })), belief); // prettier-ignore
  const inPhoto = ({ xMm, yMm }: PointMm) => {
    const [xPx, yPx] = through(photo.clothToPx, xMm, yMm);
    return bend(view.lens, { xPx, yPx });
  };
  const field = FIELD.map((at) => placeOnCloth(seen, inPhoto(at)));
  const turn = (i: number, j: number) =>
    degreesOf(
      Math.atan2(field[j]!.yMm - field[i]!.yMm, field[j]!.xMm - field[i]!.xMm) -
        Math.atan2(FIELD[j]!.yMm - FIELD[i]!.yMm, FIELD[j]!.xMm - FIELD[i]!.xMm),
    );
  const rule = { rule: "middle of area", anchor: "middle", turnDeg: 0 } as const;
  const lie = { xMm: 20 * normal(chance), yMm: 10 * normal(chance), angleRad: 0.05 * normal(chance) };
  const area = box(200, 120).map((at) => posed(lie, at));
  const truth = placementPose({
    rule,
    marks: [{ kind: "area", points: area }],
    top: "away",
    outline: OUTLINE,
  });
  const made = placeFromPhoto({ view: seen, rule, top: "away", outline: OUTLINE, touchMm: 0, marks: [{ kind: "area", pointsPx: area.map(inPhoto) }] }); // prettier-ignore
  const misses = OUTLINE.map((at) => apart(posed(truth, at), posed(made.pose, at)));
  const stated = expectedError(made, OUTLINE);
  return {
    field: field.map((at, i) => apart(at, FIELD[i]!)),
    angle: (turn(0, 1) + turn(3, 2)) / 2,
    held: Math.max(...misses) <= stated.mm,
    heldAngle: Math.abs(degreesOf(truth.angleRad - made.pose.angleRad)) <= stated.degrees,
    statedMm: stated.mm,
  };
}

function photosTable(chance: Chance): void {
  const count = asked(60);
  console.log(`photos of 12 MP, ${count} a line: tilt to 40°, 35 to 60 cm, three lenses, six cloths, half with shadow, half with glare, half with a marker covered`); // prettier-ignore
  console.log("  blur σ | markers found  false | corner rms  worst  stated | field corners rms  worst  angle rms | stated 95 % holds: place  angle (stated rms); taught markers off as wholes only: place, corners only: place"); // prettier-ignore
  const fooled: string[] = [];
  for (const blurPx of BLURS) {
    const all = { due: 0, found: 0, wrong: 0 };
    const corner: number[] = [];
    const stated: number[] = [];
    const rounds: ReturnType<typeof placed>[] = [];
    const whole: boolean[] = [];
    const apiece: boolean[] = [];
    for (let k = 0; k < count; k++) {
      const own = chance.split();
      const view = someView(own, { ...SIZE, blurPx, lensKind: LENS_KINDS[k % 3]!, clothKind: CLOTH_KINDS[k % 6]!, hidden: k % 2 === 0 ? "one" : "none" }); // prettier-ignore
      const photo = renderPhoto(view);
      const belief = measuredLens(own, view);
      const found = findMarkers(photo.grey, { lens: belief.lens });
      const hidden = covered(view);
      const due = view.scene.markers.filter((one) => !hidden.has(one.id));
      const name = `blur ${blurPx}, photo ${k} (${view.scene.cloth.kind}, ${LENS_KINDS[k % 3]}, rim ${view.scene.rimLight}, tilt ${degreesOf(view.pose.tiltRad).toFixed(0)}°)`; // prettier-ignore
      all.due += due.length;
      for (const one of found) {
        const truth = photo.cornersPx.get(one.id);
        if (!truth || hidden.has(one.id)) {
          all.wrong++;
          fooled.push(`${name}: false or covered id ${one.id}`);
          continue;
        }
        all.found++;
        const off = one.cornersPx.flatMap(({ xPx, yPx }, i) => [xPx - truth[i]!.xPx, yPx - truth[i]!.yPx]);
        corner.push(...off);
        stated.push(one.cornerErrorPx);
        if (rms(off) > (blurPx === 2 ? 0.4 : 0.15)) fooled.push(`${name}: marker ${one.id} off by ${rms(off).toFixed(2)} px rms`); // prettier-ignore
      }
      const missed = due.filter((one) => !found.some(({ id }) => id === one.id)).map((one) => one.id);
      if (missed.length > 0) fooled.push(`${name}: not found ${missed.join(", ")}`);
      const seen = { view, photo, found, belief };
      rounds.push(placed(own, seen, 0.75));
      whole.push(placed(own, seen, 1).held);
      apiece.push(placed(own, seen, 0).held);
    }
    const field = rounds.flatMap((one) => one.field);
    console.log(
      `  ${blurPx.toFixed(1).padStart(4)}   | ${percent(all.found, all.due)} of ${all.due}  ${all.wrong} | ${rms(corner).toFixed(3)} px  ${Math.max(...corner.map(Math.abs)).toFixed(2)}  ${rms(stated).toFixed(3)} | ${rms(field).toFixed(3)} mm  ${Math.max(...field).toFixed(2)}  ${rms(rounds.map((one) => one.angle)).toFixed(3)}° | ${share(rounds.map((one) => one.held))}  ${share(rounds.map((one) => one.heldAngle))} (±${rms(rounds.map((one) => one.statedMm)).toFixed(2)} mm); ${share(whole)}, ${share(apiece)}`,
    );
  }
  console.log(fooled.length === 0 ? "  none of them fooled it" : "  what fooled it:");
  for (const line of fooled) console.log(`    ${line}`);
}

function falseTable(chance: Chance): void {
  const count = asked(10_000);
  const found = new Map<string, number>();
  for (let k = 0; k < count; k++) {
    const kind = NOTHING_KINDS[k % NOTHING_KINDS.length]!;
    const size = k % 20 === 0 ? 480 : 200;
    const picture = pictureWithoutMarkers(seededChance(chance.below(1 << 30)), kind, size, (size * 3) / 4);
    const ids = findMarkers(picture).length;
    found.set(kind, (found.get(kind) ?? 0) + ids);
  }
  const words = [...found].map(([kind, ids]) => `${kind} ${ids}`).join(", ");
  console.log(`false ids in ${count} pictures without markers: ${words}`);
}

/** Wall-clock time of one photo: grey and markers in one thread, then the rectified picture in two. */
async function speedTable(chance: Chance): Promise<void> {
  const view = someView(chance, { ...SIZE, blurPx: 0.7, lensKind: "barrel", clothKind: "striped" });
  const photo = renderPhoto(view);
  const rgba = new Uint8ClampedArray(new SharedArrayBuffer(4 * photo.grey.data.length));
  photo.grey.data.forEach((grey, i) => rgba.set([grey, grey, grey, 255], 4 * i));
  const source = new URL("./placing-worker.ts", import.meta.url).href;
  // A thread knows nothing of the source's language until it is told.
  const script = `import("tsx/esm/api").then(({ register }) => { register(); return import(${JSON.stringify(source)}); })`;
  const workers = [0, 1].map(() => new Worker(script, { eval: true, execArgv: [] }));
  const ask = (worker: Worker, message: unknown) =>
    new Promise<number>((done, fail) => {
      worker.removeAllListeners("error").once("message", done).once("error", fail);
      worker.postMessage(message);
    });
  const shared = { ...SIZE, data: rgba };
  const rectifying = { homography: photo.clothToPx, lens: view.lens, areaMm: { leftMm: -220, rightMm: 220, bottomMm: -140, topMm: 140 }, pxPerMm: 5 }; // prettier-ignore
  const rows = 1400;
  const find: number[] = [];
  const whole: number[] = [];
  const findCpu: number[] = [];
  const rectifyCpu: number[] = [];
  const cpuMs = () => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1000;
  };
  for (let round = 0; round < 7; round++) {
    const start = performance.now();
    const cpu = cpuMs();
    await ask(workers[0]!, { what: "find", photo: shared, lens: view.lens });
    find.push(performance.now() - start);
    findCpu.push(cpuMs() - cpu);
    await Promise.all(workers.map((worker, i) => ask(worker, { what: "rectify", photo: shared, ask: { ...rectifying, rows: { from: (i * rows) / 2, to: ((i + 1) * rows) / 2 } } }))); // prettier-ignore
    whole.push(performance.now() - start);
    rectifyCpu.push(cpuMs() - cpu - findCpu.at(-1)!);
  }
  await Promise.all(workers.map((worker) => worker.terminate()));
  const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!;
  console.log("12 MP to rectified (440 × 280 mm at 5 px/mm), two threads, 7 rounds");
  console.log(
    `  grey and markers ${median(find).toFixed(0)} ms, with rectified picture ${median(whole).toFixed(0)} ms; first round ${whole[0]!.toFixed(0)} ms, best ${Math.min(...whole).toFixed(0)} ms`,
  );
  console.log(`  processor time: grey and markers ${median(findCpu).toFixed(0)} ms, rectified picture ${median(rectifyCpu).toFixed(0)} ms over both threads: ${(median(findCpu) + median(rectifyCpu) / 2).toFixed(0)} ms on two free cores`); // prettier-ignore
}

export const photoSections = { photos: photosTable, "false-ids": falseTable, "photo-speed": speedTable };

import { useEffect, useMemo, useRef, useState } from "react";
import { useDebouncedValue } from "@mantine/hooks";
import { useQuery, useQueryClient } from "@tanstack/react-query";
import { addressOf, ask, Trouble } from "../client";
import {
  type AgainTouch,
  againBody,
  type ClothTop,
  type EdgesPx,
  firstBody,
  hoopInPhoto,
  NO_NUDGE,
  type Nudge,
  type Restart,
  type Seen,
  type TapeReading,
  unique,
  type Way,
} from "./body";
import { areaOf, askedFor, type By, fieldOf, freshMarks, type Give, type Known, type Mark, type MarkKind, type Marks, type Placing, type Result, type Touch } from "./marks"; // prettier-ignore
import { usePhotoDesk } from "./photo-desk";
import type { ClothPicture, DrawnDesign, OpenedPhoto } from "./photo-messages";
import { rememberedPhone, rememberPhone } from "./remembered";
import { placesOfMarks, placesOfTouches } from "./second-photo";
import { useDeskWork } from "./use-photo";
import { useSecond } from "./use-second";

export type Step = "photo" | "hoop" | "touch" | "answer" | "second" | "used";

/** The longest side of a photo that is kept, px. */
const KEPT_PX = 1280;
/** So long nothing more is touched before it is asked what the marks say, ms. */
const CALM_MS = 150;

const phoneOfFirst = (known: Known): string | null => {
  const kept = rememberedPhone();
  if (kept !== null) return known.phones.some(({ id }) => id === kept) ? kept : null;
  return known.phones.length === 1 ? known.phones[0]!.id : null;
};

/** Everything a placing gathers, and what follows from it. `again`: the piece was taken out after sewing began. */
export function usePlace(known: Known, again: boolean) {
  const desk = usePhotoDesk();
  const deskWork = useDeskWork(desk);
  const queries = useQueryClient();
  const [step, setStep] = useState<Step>("photo");
  const [machineId, setMachine] = useState(
    () => (known.machines.find((one) => one.planned) ?? known.machines[0])?.id ?? "",
  );
  const [personId, setPerson] = useState<string | null>(null);
  const [aid, setAid] = useState<string | null>(null);
  const [way, setWay] = useState<Way>("markers");
  const [phoneId, choosePhone] = useState(() => phoneOfFirst(known));
  const [opened, setOpened] = useState<OpenedPhoto | null>(null);
  const [taughtHoopId, setTaught] = useState<string | null>(null);
  const [edges, setEdges] = useState<EdgesPx | null>(null);
  const [clothBelowMm, setBelow] = useState(0);
  const [cloth, setCloth] = useState<ClothPicture | null>(null);
  const [marks, setMarks] = useState<readonly Mark[]>(() => freshMarks(known.rule));
  const [readings, setReadings] = useState(() => freshReadings(known.rule.touch));
  const [tapeMm, setTapeMm] = useState(1);
  const [by, setBy] = useState<By>("rule");
  const [top, setTop] = useState<ClothTop>("away");
  const [nudge, setNudge] = useState<Nudge>(NO_NUDGE);
  const [touches, setTouches] = useState<readonly AgainTouch[]>(() => freshTouches(known));
  const [restart, setRestart] = useState<Restart>(null);
  const [give, setGive] = useState<Give>("file");
  const [leavePhoto, setLeavePhoto] = useState<"keep" | "leave out">("keep");
  const [used, setUsed] = useState<Placing | null>(null);

  const machine = known.machines.find((one) => one.id === machineId);
  const field = useMemo(() => fieldOf(machine, known.hoop), [machine, known.hoop]);
  const freshPlaces = again ? placesOfTouches(touches) : placesOfMarks(marks);
  const second = useSecond(desk, { known, phoneId, taughtHoopId, field, fresh: freshPlaces });
  const seen: Seen = {
    way,
    opened,
    view: cloth?.view ?? null,
    second: second.counted,
    phoneId,
    taughtHoopId,
    edges,
    clothBelowMm,
    tapeMm,
    inner: known.hoop ? null : field,
  };
  const told = { machineId, personId, aid, give };
  const bodyNow = (): Marks | null => {
    try {
      return again
        ? againBody(told, seen, { touches, restart })
        : firstBody(told, seen, { marks, readings, top, nudge, by });
    } catch {
      return null;
    }
  };
  const body = bodyNow();
  const answer = usePreview(known.job.id, body);
  const drawn = useDrawnDesign(known, desk, cloth?.pxPerMm ?? 4, answer.result?.remains?.fromStitch ?? 1);

  const lay = async (
    photo: OpenedPhoto,
    by:
      | { readonly way: "markers"; readonly taughtHoopId: string }
      | { readonly way: "lines"; readonly edges: EdgesPx },
  ): Promise<ClothPicture | null> => {
    const phone = known.phones.find((one) => one.id === phoneId);
    const lens = { measured: phone?.lens ?? null, focal35Mm: photo.focal35Mm };
    const taught = by.way === "markers" ? known.taughtHoops.find((one) => one.id === by.taughtHoopId)?.taught : null; // prettier-ignore
    const laid = await deskWork.work(
      "lay",
      {
        as: "first",
        lens,
        areaMm: areaOf(field),
        by:
          by.way === "markers" && taught
            ? { way: "markers", hoop: taught, seen: unique(photo.markers) }
            : {
                way: "lines",
                edges: {
                  edgesPx: (by as { edges: EdgesPx }).edges,
                  innerWidthMm: known.hoop?.widthMm ?? field.widthMm,
                  innerHeightMm: known.hoop?.heightMm ?? field.heightMm,
                  innerSpreadMm: 0.3,
                  touchPx: 1.5,
                  clothBelowMm,
                  clothBelowSpreadMm: 0.7,
                  printScaleShare: 0,
                },
              },
      },
      "Reckoning how the hoop lies",
    );
    if (laid) setCloth(laid);
    return laid;
  };

  const forgetTouches = () => {
    setMarks(freshMarks(known.rule, by));
    setTouches(freshTouches(known));
    setNudge(NO_NUDGE);
    setRestart(null);
  };

  /** A photo was taken or chosen: opened, its markers found, and where they tell enough, laid flat at once. */
  const takePhoto = async (file: Blob) => {
    const lens = known.phones.find((one) => one.id === phoneId)?.lens ?? null;
    const photo = await deskWork.work("open", { file, lens, as: "first" }, "Opening the photo");
    // What cannot be opened takes nothing away: the photo from before and its touches stay.
    if (!photo) return;
    setCloth(null);
    forgetTouches();
    second.forget();
    setOpened(photo);
    setEdges(edgesToLay(photo));
    const found = hoopInPhoto(known.taughtHoops, unique(photo.markers));
    setWay(found ? "markers" : "lines");
    setTaught(found?.id ?? null);
    setStep("hoop");
    if (!found) return;
    const laid = await lay(photo, { way: "markers", taughtHoopId: found.id });
    const isWhole = laid !== null && found.seen === found.of && laid.view.wrongMarkers.length === 0;
    if (isWhole) setStep("touch");
  };

  const goOn = async () => {
    if (way === "tape" || cloth) return setStep("touch");
    if (!opened || !edges) return;
    if (await lay(opened, { way: "lines", edges })) setStep("touch");
  };

  const measureByTape = () => {
    second.forget();
    if (way !== "tape" && again) setTouches(freshTouches(known));
    setWay("tape");
    setCloth(null);
    setStep("touch");
  };

  const layLines = () => {
    second.forget();
    setWay("lines");
    setCloth(null);
    setStep("hoop");
  };

  const keeping = useKeeping(known.job.id, async (placing) => {
    if (placing.way !== "tape" && known.photos === "kept" && leavePhoto === "keep")
      await keepPhoto(placing.id, () => desk.ask("small", { longestPx: KEPT_PX }));
    setUsed(placing);
    setStep("used");
    for (const list of ["placing", "pieces", "plan", "floor"])
      void queries.invalidateQueries({ queryKey: [list] });
  });

  return {
    known, again, desk, ...deskWork, step, setStep, machine, machineId, setMachine, personId, setPerson, aid, setAid,
    way, setWay, phoneId, opened, taughtHoopId, edges, clothBelowMm, cloth, marks, setMarks, readings, setReadings,
    top, setTop, nudge, setNudge, touches, setTouches, restart, setRestart, give, setGive, leavePhoto, setLeavePhoto,
    tapeMm, setTapeMm, used, by, field, second, freshPlaces, drawn, body, answer, takePhoto, goOn, measureByTape, layLines, keeping,
    setEdges: (next: EdgesPx) => { setEdges(next); setCloth(null); },
    setBelow: (mm: number) => { setBelow(mm); setCloth(null); },
    setBy: (next: By) => {
      setBy(next);
      setMarks(freshMarks(known.rule, next));
      setReadings(freshReadings(askedFor(known.rule, next)));
    },
    setPhone: (id: string | null) => {
      rememberPhone(id);
      choosePhone(id);
      setCloth(null);
      second.forget();
    },
    use: () => body && void keeping.keep(body),
  } as const; // prettier-ignore
}

/** As many empty readings as each mark needs, from the side that a line of its kind usually runs along. */
const freshReadings = (asked: readonly Touch[]): readonly (readonly TapeReading[])[] =>
  asked.map(({ oneOf, leastPoints, optional }) =>
    optional ? [] : Array.from({ length: leastPoints }, () => freshReading(oneOf[0]!)),
  );

export const freshReading = (kind: MarkKind): TapeReading => ({
  from: kind === "hem" || kind === "collar seam" || kind === "edge" || kind === "stripe" ? "near" : "left",
  alongMm: null,
  distanceMm: null,
});

const freshTouches = (known: Known): readonly AgainTouch[] =>
  known.design.findable.map(({ at }) => ({ design: at, at: null, tape: null }));

export type Place = ReturnType<typeof usePlace>;

/** Lines to begin with: well inside the photo. */
export function edgesToLay({ size: { widthPx: w, heightPx: h } }: OpenedPhoto): EdgesPx {
  const at = (x: number, y: number) => ({ xPx: x * w, yPx: y * h });
  return {
    left: [at(0.15, 0.75), at(0.15, 0.25)],
    far: [at(0.25, 0.15), at(0.75, 0.15)],
    right: [at(0.85, 0.25), at(0.85, 0.75)],
    near: [at(0.75, 0.85), at(0.25, 0.85)],
  };
}

interface Answered {
  readonly result: Result;
  readonly nudge: Nudge;
}

/** What the marks say, asked for whenever they have been calm for a moment; the last answer stands meanwhile. */
function usePreview(jobId: string, body: Marks | null) {
  const text = body && JSON.stringify(body);
  const [calm] = useDebouncedValue(text, CALM_MS);
  const query = useQuery<Answered, Trouble>({
    queryKey: ["placing-preview", jobId, calm],
    queryFn: async ({ signal }) => {
      const asked = JSON.parse(calm!) as Marks;
      const { value } = await ask("previewPlacing", { params: { id: jobId }, body: asked, signal });
      return { result: value, nudge: asked.kind === "first" ? { ...asked.nudge } : NO_NUDGE };
    },
    enabled: calm !== null,
    placeholderData: (before) => before,
    retry: false,
    // Tried although the browser thinks it is offline: the program may be on this very computer.
    networkMode: "always",
    staleTime: Infinity,
  });
  return {
    result: text === null ? null : (query.data?.result ?? null),
    /** By how much the design was moved by hand in that answer. */
    nudge: query.data?.nudge ?? NO_NUDGE,
    trouble: text === null ? null : query.error,
    isAsking: text !== calm || query.isFetching,
    askAgain: () => void query.refetch(),
  };
}

function useDrawnDesign(
  known: Known,
  desk: Place["desk"],
  pxPerMm: number,
  fromStitch: number,
): DrawnDesign | null {
  const [drawn, setDrawn] = useState<DrawnDesign | null>(null);
  const { versionId, parts } = known.design;
  const colours = useMemo(() => parts.map((part) => part.rgb ?? "#8a8478"), [parts]);
  useEffect(() => {
    let isLate = false;
    const address = addressOf("designStitches", { id: versionId });
    desk.ask("design", { address, colours, pxPerMm, fromStitch }).then(
      (design) => !isLate && setDrawn(design),
      () => undefined,
    );
    return () => void (isLate = true);
  }, [desk, versionId, colours, pxPerMm, fromStitch]);
  return drawn;
}

function useKeeping(jobId: string, onKept: (placing: Placing) => Promise<void>) {
  const [isKeeping, setKeeping] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  // One key for one set of marks: pressing again after a lost answer places once.
  const key = useRef({ text: "", key: "" });
  const keep = async (body: Marks) => {
    const text = JSON.stringify(body);
    if (key.current.text !== text) key.current = { text, key: newKey() };
    setKeeping(true);
    setTrouble(null);
    try {
      const { value } = await ask("keepPlacing", { params: { id: jobId }, body, key: key.current.key });
      await onKept(value);
    } catch (reason) {
      if (!(reason instanceof Trouble)) throw reason;
      setTrouble(reason);
    } finally {
      setKeeping(false);
    }
  };
  return { isKeeping, trouble, keep };
}

/** Random words, not a UUID of the browser: that needs https, which a phone in the studio's own network has not. */
const newKey = (): string =>
  [...crypto.getRandomValues(new Uint32Array(4))].map((one) => one.toString(16).padStart(8, "0")).join("");

/** The placing stands without its photo, so trouble here is not trouble. */
async function keepPhoto(placingId: string, small: () => Promise<Blob>): Promise<void> {
  try {
    await ask("keepPlacingPhoto", { params: { id: placingId }, body: await small() });
  } catch {
    // Told on the page: no photo is shown with the placing.
  }
}

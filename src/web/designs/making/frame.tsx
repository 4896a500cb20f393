import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useCallback, useEffect, useMemo, useState } from "react";
import { useAll } from "../../parts/all-of";
import { ChoiceField, choicesOf } from "../../parts/form";
import { sizeWords, useHabits } from "../../parts/quantity";
import { TroubleSheet } from "../../parts/states";
import { DropVeil, useDrop } from "../bring-in";
import { placesOfFinding } from "../finding-places";
import { useThreads } from "../threads";
import { metresWords, number } from "../words";
import { ArtworkFields, useProposedThreads } from "./artwork-fields";
import { ForPlacement } from "./for-placement";
import { Found } from "./found";
import { LetteringFields, useAddFonts } from "./lettering-fields";
import { type Artwork, type Item, type Lettering, type Making, withAdded, withItem, wordsOf } from "./making";
import { PlaceFields } from "./place-fields";
import { ProofSheet } from "./proof";
import { SaveCard } from "./save-card";
import { changeOf, shapeOnFrame, turnedWay, withShape } from "./shapes";
import { type Chosen, MakingSheet, type PlaceSet } from "./sheet";
import { StoredFields } from "./stored-fields";
import { Things } from "./things";
import { useDrawings } from "./use-drawings";
import { useHistory, usePreview } from "./use-making";
import "../back-link.css";
import "../designs.css";
import "./making.css";

const BARE = "#9a948a";
const cloths = {
  "#eee6d6": "linen",
  "#fbfaf7": "white cloth",
  "#8d9096": "grey cloth",
  "#1f2b45": "navy cloth",
  "#1d1d20": "black cloth",
} as const;
const isFont = (file: File) => /\.(ttf|otf|woff2?|ttc)$/i.test(file.name);

export interface MakingStart {
  readonly making: Making;
  /** The version it goes on from, when it is one that is kept. */
  readonly from: { readonly designId: string; readonly name: string; readonly number: number } | null;
  readonly title: "Lettering" | "Artwork";
}

/** One frame with lettering, artwork and stored designs on it: seen at once, changed by numbers or by dragging, kept. */
export function MakingFrame({ making: first, from, title }: MakingStart) {
  const { making, set, fill, undo, redo, canUndo, canRedo } = useHistory(first);
  const { made, trouble, wrong, busy, askAgain } = usePreview(making);
  const [chosen, setChosen] = useState<Chosen>({ key: first.items[0]?.key ?? null, part: null, shape: null });
  const [marked, setMarked] = useState<string | null>(null);
  const [cloth, setCloth] = useState<string>("#eee6d6");
  const [proof, setProof] = useState(false);
  const { lengthUnit } = useHabits();
  const threads = useThreads();
  const hoops = useAll("hoops");
  const hoop = hoops.data?.find((one) => one.id === making.hoopId);
  const field = useMemo(
    () => (hoop ? { widthMm: hoop.fieldWidthMm, heightMm: hoop.fieldHeightMm } : null),
    [hoop],
  );
  useEffect(() => {
    document.title = `${title} · Spoolwright`;
  }, [title]);

  const colours = useMemo(
    () =>
      (made?.preview.parts ?? []).map(
        (one) => (one.threadId && threads.get(one.threadId)?.rgb) || (one.colour ?? BARE),
      ),
    [made, threads],
  );
  const item = making.items.find((one) => one.key === chosen.key) ?? making.items[0];
  const madeItem = made?.preview.items.find((one) => one.key === item?.key);
  const setItem = useCallback(
    <I extends Item>(key: string, change: Partial<I>, tag: string) =>
      set((before) => withItem<I>(before, key, change), tag),
    [set],
  );
  const onPlace = useCallback(
    (key: string, { grow, ...change }: PlaceSet, tag: string) =>
      set((before) => {
        const one = before.items.find((other) => other.key === key);
        if (!one) return before;
        return grow === undefined ? withItem(before, key, change) : withItem(before, key, grown(one, grow));
      }, tag),
    [set],
  );
  const shape =
    item?.kind === "artwork" && chosen.part !== null && chosen.shape !== null
      ? shapeOnFrame(made, item, chosen.part, chosen.shape)
      : null;
  const onPlaceShape = ({ grow, xMm, yMm, turnDeg }: PlaceSet, tag: string) => {
    if (item?.kind !== "artwork" || !shape) return;
    const { part, key } = shape;
    set((before) => {
      const now = before.items.find((one): one is Artwork => one.key === item.key && one.kind === "artwork");
      if (!now) return before;
      const own = changeOf(now, part, key);
      // Its way is kept as the artwork was drawn, whichever way that is turned on the frame.
      const onFrame = turnedWay(own.xMm, own.yMm, now.turnDeg);
      const way = turnedWay(xMm ?? onFrame.xMm, yMm ?? onFrame.yMm, -now.turnDeg);
      const sizePercent = grow === undefined ? own.sizePercent : Math.min(400, Math.max(10, Math.round(own.sizePercent * grow * 10) / 10)); // prettier-ignore
      const parts = withShape(now, part, key, { ...way, sizePercent, ...(turnDeg === undefined ? {} : { turnDeg }) }); // prettier-ignore
      return withItem<Artwork>(before, now.key, { parts });
    }, tag);
  };
  const fillParts = useCallback(
    (key: string, parts: Artwork["parts"]) => fill((before) => withItem<Artwork>(before, key, { parts })),
    [fill],
  );
  useProposedThreads(
    item?.kind === "artwork" ? item : undefined,
    made?.of.items.some(
      (one) => one.key === item?.key && one.kind === "artwork" && one.fileHash === (item as Artwork).fileHash,
    )
      ? madeItem
      : undefined,
    fillParts,
  );

  const add = (one: Item, tag = "") => {
    set((before) => withAdded(before, one), tag);
    setChosen({ key: one.key, part: null, shape: null });
  };
  const drawings = useDrawings(making, add);
  const fonts = useAddFonts((face) => {
    if (item?.kind === "lettering") setItem<Lettering>(item.key, { face: face.key }, "face");
  });
  const over = useDrop((files) => {
    void fonts.add(files.filter(isFont));
    void drawings.bring(files.filter((file) => !isFont(file)));
  });
  const marks = useMemo(
    () =>
      (made?.preview.findings ?? [])
        .filter(({ code }) => code === marked)
        .flatMap(placesOfFinding)
        .map(({ xTenths, yTenths }) => ({ x: xTenths / 10, y: yTenths / 10 })),
    [made, marked],
  );
  const texts = making.items.flatMap((one) =>
    one.kind === "lettering" && one.text.trim() !== "" ? [one.text] : [],
  );
  const asked = useMemo(
    () =>
      made && {
        made,
        colours,
        cloth,
        texts,
        unit: lengthUnit,
        threads: [
          ...new Set(
            made.preview.parts.flatMap((one) => {
              const thread = one.threadId ? threads.get(one.threadId) : undefined;
              return thread ? [`${thread.code} ${thread.name}`] : [];
            }),
          ),
        ],
      },
    // Texts are new with each making, whose picture `made` is.
    // eslint-disable-next-line react-hooks/exhaustive-deps
    [made, colours, cloth, lengthUnit, threads],
  );

  return (
    <div className="making">
      <DropVeil shown={over} words="Drop a drawing, a picture or a font" />
      <header className="making-head">
        <Link to="/designs" className="back-link">
          ← Designs
        </Link>
        <h1>{from ? `${from.name}: ${title.toLowerCase()}` : title}</h1>
        <div className="making-acts">
          <Button size="md" variant="default" disabled={!canUndo} onClick={undo}>
            Undo
          </Button>
          <Button size="md" variant="default" disabled={!canRedo} onClick={redo}>
            Redo
          </Button>
          <Button
            size="md"
            variant="default"
            disabled={!made || made.preview.stitchCount === 0}
            aria-pressed={proof}
            onClick={() => setProof(!proof)}
          >
            Proof
          </Button>
        </div>
      </header>
      {proof && asked && (
        <ProofSheet asked={asked} name={texts[0] ?? "proof"} onClose={() => setProof(false)} />
      )}
      <div className="making-room">
        <div className="making-left">
          <MakingSheet
            made={made}
            items={making.items}
            colours={colours}
            cloth={cloth}
            field={field}
            chosen={{ ...chosen, key: item?.key ?? null }}
            shape={shape}
            marks={marks}
            busy={busy}
            onChoose={(next) => setChosen({ ...next, key: next.key ?? item?.key ?? null })}
            onPlace={onPlace}
            onPlaceShape={onPlaceShape}
          />
          <p className="making-facts" role="status" data-took={made?.preview.tookMs}>
            {made && made.preview.stitchCount > 0
              ? `${sizeWords(made.preview.extentsMm.right - made.preview.extentsMm.left, made.preview.extentsMm.top - made.preview.extentsMm.bottom, lengthUnit)} · ${number.format(made.preview.stitchCount)} stitches · ${made.preview.parts.length} ${made.preview.parts.length === 1 ? "part" : "parts"} · ${made.preview.trims} ${made.preview.trims === 1 ? "trim" : "trims"} · ${metresWords(made.preview.parts.reduce((sum, one) => sum + one.threadMm, 0))} of thread`
              : emptyWords(making, title)}
          </p>
          {wrong && (
            <p className="making-wrong" role="alert">
              The picture waits: {wrong}.
            </p>
          )}
          {trouble && <TroubleSheet trouble={trouble} onAgain={askAgain} />}
          <Found
            making={making}
            preview={made?.preview ?? null}
            marked={marked}
            onMark={setMarked}
            onShow={(key) => setChosen({ key, part: null, shape: null })}
          />
        </div>
        <div className="making-right">
          <Things
            making={making}
            made={made}
            chosen={item?.key ?? null}
            onChoose={(key) => setChosen({ key, part: null, shape: null })}
            onSet={(items) => set({ ...making, items }, "")}
            onAdd={add}
            drawings={drawings}
            fontTrouble={fonts.said?.wrong ? fonts.said.words : null}
          />
          {item && (
            <section className="making-card sheet" aria-label={wordsOf(item)}>
              {madeItem?.trouble && (
                <p className="making-wrong" role="alert">
                  <b>{madeItem.trouble.title}.</b> {madeItem.trouble.message} {madeItem.trouble.advice}
                </p>
              )}
              {item.kind === "lettering" && (
                <LetteringFields
                  key={item.key}
                  item={item}
                  made={madeItem}
                  onSet={(change, tag) => setItem<Lettering>(item.key, change, tag)}
                />
              )}
              {item.kind === "artwork" && (
                <ArtworkFields
                  key={item.key}
                  item={item}
                  made={madeItem}
                  chosen={chosen}
                  shape={shape}
                  onChoose={(next) => setChosen({ key: item.key, shape: null, ...next })}
                  onPlaceShape={onPlaceShape}
                  onSet={(change, tag) => setItem<Artwork>(item.key, change, tag)}
                />
              )}
              {item.kind === "design" && (
                <StoredFields
                  item={item}
                  onSet={(change, tag) => setItem(item.key, change as Partial<Item>, tag)}
                />
              )}
              <PlaceFields
                item={item}
                box={madeItem?.boxMm ?? null}
                onPlace={(change, tag) => onPlace(item.key, change, tag)}
              />
            </section>
          )}
          <section className="making-card sheet" aria-label="Cloth and frame">
            <ForPlacement making={making} onSet={(change) => set({ ...making, ...change }, "")} />
            <ChoiceField
              label="Shown on"
              value={cloth}
              choices={choicesOf(cloths as unknown as Record<string, string>)}
              onChange={setCloth}
            />
          </section>
          <SaveCard
            key={from?.designId ?? "new"}
            making={making}
            ready={made !== null && made.preview.stitchCount > 0}
            from={from}
            proposed={
              texts[0]?.split("\n")[0] ??
              making.items
                .find((one): one is Artwork => one.kind === "artwork")
                ?.fileName.replace(/\.\w+$/, "") ??
              ""
            }
          />
        </div>
      </div>
    </div>
  );
}

/** A thing made larger or smaller, within what can be sewn. */
function grown(one: Item, factor: number): Partial<Item> {
  const sized = (mm: number, low: number, high: number) =>
    Math.min(high, Math.max(low, Math.round(mm * factor * 10) / 10));
  if (one.kind === "artwork") return { widthMm: sized(one.widthMm, 4, 500) };
  if (one.kind === "design") return { sizePercent: sized(one.sizePercent, 90, 110) };
  return one.widthMm === null
    ? { heightMm: sized(one.heightMm, 4, 150) }
    : { widthMm: sized(one.widthMm, 5, 500) };
}

function emptyWords(making: Making, title: string): string {
  if (making.items.length === 0)
    return title === "Artwork"
      ? "Drop an SVG drawing, or a PNG or JPEG picture of few colours, anywhere on this page."
      : "Add lettering to begin.";
  return making.items.every((item) => item.kind === "lettering" && item.text.trim() === "")
    ? "Type a text: it is sewn here as you type."
    : " ";
}

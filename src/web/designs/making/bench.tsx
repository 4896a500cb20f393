import { Button, TextInput } from "@mantine/core";
import { Link, useNavigate } from "@tanstack/react-router";
import { useCallback, useEffect, useMemo, useState } from "react";
import { useQueryClient } from "@tanstack/react-query";
import type { shapes } from "#contract";
import { ask, Trouble } from "../../client";
import { useAll } from "../../parts/all-of";
import { ChoiceField, choicesOf } from "../../parts/form";
import { offerUndo, showTrouble } from "../../parts/notices";
import { sizeWords, useHabits } from "../../parts/quantity";
import { TroubleSheet } from "../../parts/states";
import { DesignSelect } from "../../studio/design-select";
import { ChooseFiles, DropVeil, useDrop } from "../bring-in";
import { useThreads } from "../threads";
import { levelWords, metresWords, number } from "../words";
import { ArtworkFields, useProposedThreads } from "./artwork-fields";
import { LetteringFields, useAddFonts } from "./lettering-fields";
import {
  type Artwork,
  freshKey,
  freshLettering,
  type Item,
  type Lettering,
  type Making,
  moved,
  withAdded,
  withItem,
  wordsOf,
} from "./making";
import { PlaceFields } from "./place-fields";
import { ProofSheet } from "./proof";
import { MakingSheet } from "./sheet";
import { StoredFields, StoredName } from "./stored-fields";
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
const DRAWINGS = ".svg,.png,.jpg,.jpeg";
const isFont = (file: File) => /\.(ttf|otf|woff2?|ttc)$/i.test(file.name);

export interface BenchStart {
  readonly making: Making;
  /** The version it goes on from, when it is one that is kept. */
  readonly from: { readonly designId: string; readonly name: string; readonly number: number } | null;
  readonly title: "Lettering" | "Artwork";
}

/** One frame with lettering, artwork and stored designs on it: seen at once, changed by numbers or by dragging, kept. */
export function Bench({ making: first, from, title }: BenchStart) {
  const { making, set, fill, undo, redo, canUndo, canRedo } = useHistory(first);
  const { made, trouble, wrong, busy, askAgain } = usePreview(making);
  const [chosen, setChosen] = useState<string | null>(first.items[0]?.key ?? null);
  const [part, setPart] = useState<string | null>(null);
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
  const item = making.items.find((one) => one.key === chosen) ?? making.items[0];
  const madeItem = made?.preview.items.find((one) => one.key === item?.key);
  const setItem = useCallback(
    <I extends Item>(key: string, change: Partial<I>, tag: string) =>
      set((before) => withItem<I>(before, key, change), tag),
    [set],
  );
  const onPlace = useCallback(
    (
      key: string,
      { grow, ...change }: { xMm?: number; yMm?: number; turnDeg?: number; grow?: number },
      tag: string,
    ) =>
      set((before) => {
        const one = before.items.find((other) => other.key === key);
        if (!one) return before;
        if (grow === undefined) return withItem(before, key, change);
        const sized = (mm: number, low: number, high: number) =>
          Math.min(high, Math.max(low, Math.round(mm * grow * 10) / 10));
        if (one.kind === "lettering")
          return one.widthMm === null
            ? withItem<Lettering>(before, key, { heightMm: sized(one.heightMm, 4, 150) })
            : withItem<Lettering>(before, key, { widthMm: sized(one.widthMm, 5, 500) });
        if (one.kind === "artwork")
          return withItem<Artwork>(before, key, { widthMm: sized(one.widthMm, 4, 500) });
        return withItem(before, key, { sizePercent: sized(one.sizePercent, 90, 110) } as Partial<Item>);
      }, tag),
    [set],
  );
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
    setChosen(one.key);
    setPart(null);
  };
  const drawings = useDrawings(making, add);
  const fonts = useAddFonts((face) => {
    if (item?.kind === "lettering") setItem<Lettering>(item.key, { face: face.key }, "face");
  });
  const over = useDrop((files) => {
    void fonts.add(files.filter(isFont));
    void drawings.bring(files.filter((file) => !isFont(file)));
  });
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
            chosen={item?.key ?? null}
            busy={busy}
            onChoose={(key, onPart) => {
              if (key) setChosen(key);
              setPart(onPart);
            }}
            onPlace={onPlace}
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
          <Found making={making} preview={made?.preview ?? null} onShow={(key) => setChosen(key)} />
        </div>
        <div className="making-right">
          <section className="making-card sheet" aria-labelledby="things-head">
            <h2 id="things-head">On the frame</h2>
            {making.items.length === 0 && (
              <p className="quiet">Nothing yet. Write something, or bring in a drawing.</p>
            )}
            <ol className="making-things">
              {making.items.map((one, at) => (
                <li key={one.key} data-chosen={one.key === item?.key || undefined}>
                  <button
                    type="button"
                    className="making-thing"
                    aria-pressed={one.key === item?.key}
                    onClick={() => setChosen(one.key)}
                  >
                    {one.kind === "design" ? <StoredName versionId={one.versionId} /> : wordsOf(one)}
                  </button>
                  {making.items.length > 1 && (
                    <>
                      <Button
                        size="md"
                        variant="default"
                        px={10}
                        disabled={at === 0}
                        aria-label={`${wordsOf(one)}: sew earlier`}
                        onClick={() => set({ ...making, items: moved(making.items, at, -1) }, "")}
                      >
                        ↑
                      </Button>
                      <Button
                        size="md"
                        variant="default"
                        px={10}
                        disabled={at === making.items.length - 1}
                        aria-label={`${wordsOf(one)}: sew later`}
                        onClick={() => set({ ...making, items: moved(making.items, at, 1) }, "")}
                      >
                        ↓
                      </Button>
                    </>
                  )}
                  <Button
                    size="md"
                    variant="subtle"
                    px={10}
                    aria-label={`Take away ${wordsOf(one)}`}
                    onClick={() =>
                      set({ ...making, items: making.items.filter((other) => other.key !== one.key) }, "")
                    }
                  >
                    Take away
                  </Button>
                </li>
              ))}
            </ol>
            <div className="making-adds">
              <Button
                size="md"
                variant="default"
                onClick={() =>
                  add(freshLettering(freshKey(making), { yMm: making.items.length > 0 ? lowest(made) : 0 }))
                }
              >
                Add lettering
              </Button>
              <ChooseFiles
                words="Add a drawing or picture"
                accept={DRAWINGS}
                many={false}
                onFiles={(files) => void drawings.bring(files)}
              />
            </div>
            {drawings.said && (
              <p
                role={drawings.said.wrong ? "alert" : "status"}
                className={drawings.said.wrong ? "making-wrong" : "quiet"}
              >
                {drawings.said.words}
              </p>
            )}
            {fonts.said?.wrong && (
              <p role="alert" className="making-wrong">
                {fonts.said.words}
              </p>
            )}
            <details className="making-more">
              <summary>Add a design of the studio</summary>
              <AddStored
                onAdd={(versionId) =>
                  add({
                    kind: "design",
                    key: freshKey(making),
                    xMm: 0,
                    yMm: 0,
                    turnDeg: 0,
                    versionId,
                    sizePercent: 100,
                    threadIds: null,
                  })
                }
              />
            </details>
          </section>
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
                  chosenPart={part}
                  onPart={setPart}
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

const lowest = (made: { readonly preview: shapes.MadePreview } | null) =>
  made ? Math.round(made.preview.extentsMm.bottom - 18) : 0;

function emptyWords(making: Making, title: string): string {
  if (making.items.length === 0)
    return title === "Artwork"
      ? "Drop an SVG drawing, or a PNG or JPEG picture of few colours, anywhere on this page."
      : "Add lettering to begin.";
  return making.items.every((item) => item.kind === "lettering" && item.text.trim() === "")
    ? "Type a text: it is sewn here as you type."
    : " ";
}

/** Takes in drawings and pictures and puts each on the frame. */
function useDrawings(making: Making, add: (item: Item) => void) {
  const [said, setSaid] = useState<{ readonly words: string; readonly wrong: boolean } | null>(null);
  const bring = async (files: readonly File[]) => {
    for (const file of files)
      try {
        setSaid({ words: `Reading ${file.name} …`, wrong: false });
        const { value } = await ask("addArtwork", { query: { name: file.name }, body: file });
        const widthMm = Math.min(120, Math.max(20, Math.round((value.naturalMm?.width ?? 80) * 10) / 10));
        add({
          kind: "artwork",
          key: freshKey(making),
          xMm: 0,
          yMm: 0,
          turnDeg: 0,
          fileHash: value.fileHash,
          fileName: value.fileName,
          widthMm,
          mostColours: value.kind === "picture" ? 6 : 12,
          ground: "leave out",
          parts: [],
        });
        setSaid(null);
      } catch (reason) {
        const problem = reason instanceof Trouble ? reason.problem : null;
        setSaid({
          words: `${file.name}: ${problem ? `${problem.detail} ${problem.advice}` : String(reason)}`,
          wrong: true,
        });
      }
  };
  return { said, bring };
}

function AddStored({ onAdd }: { readonly onAdd: (versionId: string) => void }) {
  const pick = async (designId: string | null) => {
    if (designId === null) return;
    try {
      const { value } = await ask("readDesign", { params: { id: designId } });
      onAdd(value.design.latest.id);
    } catch (reason) {
      showTrouble(reason);
    }
  };
  return (
    <DesignSelect
      label="Design"
      hint="its newest version is put on the frame"
      value={null}
      onChange={(id) => void pick(id)}
      error={undefined}
    />
  );
}

/** What it is for: the placement brings its hoop and cloth; both can be chosen by themselves. */
function ForPlacement({
  making,
  onSet,
}: {
  readonly making: Making;
  readonly onSet: (change: Partial<Making>) => void;
}) {
  const products = useAll("products", "no");
  const hoops = useAll("hoops");
  const [where, setWhere] = useState("");
  const places = (products.data ?? []).flatMap((product) =>
    product.placements.map((placement) => ({
      key: `${product.id}/${placement.id}`,
      words: `${product.name}: ${placement.name}`,
      product,
      placement,
    })),
  );
  const chosen = places.find((place) => place.key === where);
  return (
    <div className="making-fields">
      <ChoiceField
        label="For a product’s placement"
        value={where}
        choices={[
          { value: "", words: "none in particular" },
          ...places.map(({ key, words }) => ({ value: key, words })),
        ]}
        onChange={(key) => {
          setWhere(key);
          const place = places.find((one) => one.key === key);
          if (place) onSet({ hoopId: place.placement.hoopId, cloth: place.product.cloth });
        }}
      />
      {chosen?.placement.where && <p className="quiet making-note">Mark: {chosen.placement.where}</p>}
      <ChoiceField
        label="Hoop"
        value={making.hoopId ?? ""}
        choices={[
          { value: "", words: "none yet" },
          ...(hoops.data ?? [])
            .filter((one) => !one.archived || one.id === making.hoopId)
            .map((one) => ({
              value: one.id,
              words: `${one.name} · ${one.fieldWidthMm} × ${one.fieldHeightMm} mm`,
            })),
        ]}
        onChange={(id) => onSet({ hoopId: id === "" ? null : id })}
      />
      <ChoiceField
        label="Sewn on"
        hint="underlay and compensation follow the cloth"
        value={making.cloth}
        choices={choicesOf({
          woven: "woven: canvas, linen, cotton",
          knit: "knit: sweatshirt, jersey",
          pile: "pile: towel, fleece",
        })}
        onChange={(to) => onSet({ cloth: to })}
      />
    </div>
  );
}

function Found({
  making,
  preview,
  onShow,
}: {
  readonly making: Making;
  readonly preview: shapes.MadePreview | null;
  readonly onShow: (key: string) => void;
}) {
  if (!preview) return null;
  const own = preview.items.flatMap((item) => {
    const one = making.items.find((other) => other.key === item.key);
    return item.findings.map((finding) => ({ finding, key: item.key, words: one ? wordsOf(one) : "" }));
  });
  const all = [...own, ...preview.findings.map((finding) => ({ finding, key: null, words: "" }))];
  if (all.length === 0) return <p className="quiet making-note">Nothing was found to mend.</p>;
  return (
    <section className="making-card sheet" aria-labelledby="found-head">
      <h2 id="found-head">What was found</h2>
      <ul className="making-found">
        {all.map(({ finding, key, words }, at) => (
          <li key={at} className={`is-${finding.level}`}>
            <b>{levelWords[finding.level]}</b>
            {key && making.items.length > 1 && (
              <button type="button" className="making-thing-link" onClick={() => onShow(key)}>
                {words}
              </button>
            )}
            <span>{finding.message}</span>
            {finding.advice && <span className="quiet">{finding.advice}</span>}
          </li>
        ))}
      </ul>
    </section>
  );
}

function SaveCard({
  making,
  ready,
  from,
  proposed,
}: {
  readonly making: Making;
  readonly ready: boolean;
  readonly from: BenchStart["from"];
  readonly proposed: string;
}) {
  const [name, setName] = useState<string | null>(null);
  const [saving, setSaving] = useState(false);
  const [wrong, setWrong] = useState<string | null>(null);
  const navigate = useNavigate();
  const queries = useQueryClient();
  const title = (name ?? proposed).trim().slice(0, 120);
  const save = async (into: string | null) => {
    setSaving(true);
    setWrong(null);
    try {
      const { value, changeId } = await ask("saveMaking", {
        body: {
          making: {
            ...making,
            items: making.items.filter((item) => item.kind !== "lettering" || item.text.trim() !== ""),
          },
          name: title || from?.name || "Design",
          into,
        },
      });
      void queries.invalidateQueries({ queryKey: ["designs"] });
      offerUndo(
        into === null
          ? `Design ${title} is kept.`
          : `Version ${value.version.number} of ${from?.name} is kept.`,
        changeId,
      );
      await navigate({ to: "/designs/$id", params: { id: value.designId } });
    } catch (reason) {
      const problem = reason instanceof Trouble ? reason.problem : null;
      setWrong(problem ? `${problem.detail} ${problem.advice}` : String(reason));
    } finally {
      setSaving(false);
    }
  };
  return (
    <section className="making-card sheet making-save" aria-labelledby="keep-head">
      <h2 id="keep-head">Keep it</h2>
      <TextInput
        size="md"
        label="Name of the design"
        value={name ?? proposed}
        onChange={(event) => setName(event.currentTarget.value)}
        maxLength={120}
      />
      {wrong && (
        <p role="alert" className="making-wrong">
          {wrong}
        </p>
      )}
      <div className="making-adds">
        {from && (
          <Button size="md" loading={saving} disabled={!ready} onClick={() => void save(from.designId)}>
            Save as a new version
          </Button>
        )}
        <Button
          size="md"
          variant={from ? "default" : "filled"}
          loading={saving}
          disabled={!ready || title === ""}
          onClick={() => void save(null)}
        >
          Save as a design
        </Button>
      </div>
      <p className="quiet making-note">
        {from
          ? `Goes on from version ${from.number} of ${from.name}; no version is ever overwritten.`
          : "It can then be used in products and orders as any design."}
      </p>
    </section>
  );
}

import { Button, NativeSelect } from "@mantine/core";
import { useMemo, useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { NumberField } from "../../parts/form";
import { type EdgesPx, unique } from "../body";
import { EdgeLines } from "../edges";
import { usePhotoDesk } from "../photo-desk";
import { TroubleNote } from "../trouble-note";
import { edgesToLay } from "../use-place";
import { asSent, type GridPhoto, GridPhotos } from "./grid-photos";
import { carriedEdges, edgesInside } from "./carry-edges";
import type { TaughtHoop } from "./hoops";
import type { Printed } from "./page";

/** One hoop on the grid sheet: photos, its inner edges in each, heights, and what comes of it. */
export function TeachHoop({
  hoop,
  printed,
  onDone,
}: {
  readonly hoop: TaughtHoop;
  readonly printed: Printed;
  readonly onDone: () => void;
}) {
  const desk = usePhotoDesk();
  const phones = useAnswer("placing", "listPhones", {});
  const measured = (phones.data?.items ?? []).filter((phone) => phone.lens && !phone.archived);
  const [phoneId, setPhone] = useState<string | null>(null);
  const phone = phoneId ?? measured[0]?.id ?? "";
  const [photos, setPhotos] = useState<readonly GridPhoto[]>([]);
  const [edges, setEdges] = useState<ReadonlyMap<number, EdgesPx>>(new Map());
  const [laid, setLaid] = useState<ReadonlySet<number>>(new Set());
  const [heights, setHeights] = useState({ markersMm: 6, edgesMm: 0, belowMm: 5 });
  const teach = useChange("teachHoop", {
    lists: ["placing"],
    quiet: true,
    done: (taught) => `${taught.label} is taught.`,
  });
  const next = photos.find((photo) => !laid.has(photo.id));
  const first = photos.find((photo) => laid.has(photo.id));
  const carried = useMemo(
    () => first && next && carriedEdges(edges.get(first.id)!, first.opened.markers, next.opened.markers),
    [first, next, edges],
  );
  const edgesOf = ({ id, opened }: GridPhoto) =>
    edges.get(id) ?? carried ?? edgesInside(opened.markers, hoop.markerIds) ?? edgesToLay(opened);
  const seen = ({ opened }: GridPhoto) => {
    const count = unique(opened.markers).filter(({ id }) => hoop.markerIds.includes(id)).length;
    return `${count} of ${hoop.markerIds.length} markers of the hoop`;
  };
  const isTyped = Object.values(heights).every((mm) => Number.isFinite(mm));
  const send = () =>
    teach.mutate(
      {
        params: { id: hoop.id },
        body: {
          phoneId: phone === "" ? null : phone,
          printed,
          photos: photos.map((photo) => {
            const { left, right, near, far } = edges.get(photo.id)!;
            return {
              ...asSent(photo),
              edges: { left: [...left], right: [...right], near: [...near], far: [...far] },
            };
          }),
          markersOverSheetMm: heights.markersMm,
          edgesOverSheetMm: heights.edgesMm,
          clothBelowMm: heights.belowMm,
        },
      },
      { onSuccess: onDone },
    );
  const set = (key: keyof typeof heights) => (mm: number | null) =>
    setHeights({ ...heights, [key]: mm ?? Number.NaN });
  return (
    <div className="teach-work">
      <p>
        Lay the hoop without cloth on the grid sheet, as it sits in the machine, its near side towards you.
        Take three photos from different sides: one from straight above first, the hoop left where it lies.
      </p>
      <NativeSelect
        size="md"
        label="Taken with"
        value={phone}
        onChange={(event) => setPhone(event.currentTarget.value)}
        data={[
          ...measured.map(({ id, name }) => ({ value: id, label: name })),
          { value: "", label: "a phone that is not measured" },
        ]}
      />
      <GridPhotos
        lens={measured.find((one) => one.id === phone)?.lens ?? null}
        mayTake={!next}
        desk={desk}
        photos={photos}
        onPhotos={setPhotos}
        words={seen}
      />
      {next && (
        <EdgeLines
          key={next.id}
          opened={next.opened}
          desk={desk}
          edges={edgesOf(next)}
          from={carried && !edges.has(next.id) ? "another photo" : undefined}
          // Only the photo opened last is on the desk for finding edges.
          canFind={next === photos.at(-1)}
          onEdges={(lines) => setEdges(new Map([...edges, [next.id, lines]]))}
          onAll={() => {
            setEdges(new Map([...edges, [next.id, edgesOf(next)]]));
            setLaid(new Set([...laid, next.id]));
          }}
        />
      )}
      {photos.length > 0 && !next && (
        <>
          <Heights />
          <div className="place-numbers">
            <NumberField
              label="a · markers over the sheet"
              unit="mm"
              decimals={1}
              value={heights.markersMm}
              onChange={set("markersMm")}
            />
            <NumberField
              label="b · inner edges over the sheet"
              unit="mm"
              decimals={1}
              value={heights.edgesMm}
              onChange={set("edgesMm")}
            />
            <NumberField
              label="c · hooped cloth under the markers"
              unit="mm"
              decimals={1}
              min={-10}
              value={heights.belowMm}
              onChange={set("belowMm")}
            />
          </div>
          {teach.error && <TroubleNote trouble={teach.error.problem} />}
          <div className="place-acts">
            <Button size="lg" loading={teach.isPending} disabled={!isTyped} onClick={send}>
              Save what was taught
            </Button>
            <Button
              size="lg"
              variant="default"
              onClick={() => {
                setLaid(new Set());
                setEdges(new Map());
              }}
            >
              Lay the edges again
            </Button>
          </div>
        </>
      )}
    </div>
  );
}

/** A cut through the hoop on the sheet: which heights are meant. */
function Heights() {
  return (
    <svg
      className="teach-heights"
      viewBox="0 0 320 120"
      role="img"
      aria-label="A cut through the hoop: a is the height of the markers’ faces over the sheet, b of the inner edges, c how far hooped cloth lies under the markers"
    >
      <path d="M10 104h300" className="teach-line" />
      <rect x="60" y="46" width="56" height="58" rx="6" className="teach-solid" />
      <path d="M66 44h44" className="teach-mark" />
      <path d="M116 84h190" className="teach-cloth" />
      <path d="M36 46v58M30 46h12M30 104h12" className="teach-accent" />
      <path d="M134 92v12M128 92h12" className="teach-accent" />
      <path d="M210 46v38M204 46h12M204 84h12M116 46h94" className="teach-accent" />
      <text x="18" y="80">
        a
      </text>
      <text x="142" y="102">
        b
      </text>
      <text x="220" y="70">
        c
      </text>
    </svg>
  );
}

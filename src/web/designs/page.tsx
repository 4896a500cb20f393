import { Button, Skeleton } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { shapes } from "#contract";
import { useAnswer } from "../asking";
import { addressOf } from "../client";
import { FilterChoice } from "../parts/form";
import { Hem } from "../parts/hem";
import { useListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { lengthWords, sizeWords, useHabits } from "../parts/quantity";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { BringInReport, ChooseFiles, DropVeil, useBringIn, useDrop } from "./bring-in";
import { useThreads } from "./threads";
import { findingsWords, heightOf, number, widthOf } from "./words";
import "./designs.css";

type Threads = ReturnType<typeof useThreads>;
const kinds = [
  { value: "", words: "Pictures" },
  { value: "personal", words: "With names" },
  { value: "all", words: "All designs" },
] as const;
const sorts = [
  { value: "name", words: "by name" },
  { value: "-newest", words: "newest first" },
  { value: "-stitches", words: "most stitches" },
  { value: "stitches", words: "fewest stitches" },
] as const;

const hemOf = (version: shapes.DesignVersion, threads: Threads) =>
  version.parts.map((part) => ({
    thread: part.threadId ? threads.get(part.threadId) : null,
    stitches: part.stitches,
  }));

function FindingsMark({ version }: { readonly version: shapes.DesignVersion }) {
  const words = findingsWords(version.findings);
  if (!words) return null;
  return (
    <span className={`finding-mark${version.findings.some((one) => one.level === "stop") ? " is-stop" : ""}`}>
      {words}
    </span>
  );
}

/** Designs: bring in machine files, find them, open them. */
export function DesignsPage() {
  const address = useListAddress({ sort: "name", limit: 60 });
  const kind = address.word("kind");
  const asList = address.word("as") === "list";
  const answer = useAnswer(
    "designs",
    "listDesigns",
    { query: { ...address.query, kind: kind || "picture" } },
    { keep: true },
  );
  const threads = useThreads();
  const { lengthUnit } = useHabits();
  const bring = useBringIn(undefined);
  const over = useDrop((files) => void bring.start(files));
  const sort = sorts.some(({ value }) => value === address.sort) ? address.sort : "";
  const filters = (
    <>
      <FilterChoice
        label="Kind of design"
        value={kind}
        choices={kinds}
        onChange={(to) => address.set({ kind: to })}
      />
      <FilterChoice
        label="Order of the designs"
        value={sort}
        choices={sort === "" ? [{ value: "", words: "own order" }, ...sorts] : sorts}
        onChange={(to) => address.set({ sort: to })}
      />
    </>
  );
  const acts = (
    <>
      <Button
        size="md"
        variant="default"
        onClick={() =>
          address.set({
            as: asList ? undefined : "list",
            offset: address.offset ? String(address.offset) : undefined,
          })
        }
      >
        {asList ? "Show as pictures" : "Show as list"}
      </Button>
      <Button size="md" variant="default" component={Link} to="/designs/lettering">
        Lettering
      </Button>
      <Button size="md" variant="default" component={Link} to="/designs/artwork">
        Artwork
      </Button>
      <Button size="md" variant="default" component={Link} to="/designs/names">
        Names
      </Button>
      <ChooseFiles
        primary
        words="Bring in files"
        accept=".dst,.zip"
        disabled={bring.state.running}
        onFiles={(files) => void bring.start(files)}
      />
    </>
  );
  const empty = (
    <Empty
      title="Bring in your first designs"
      action={
        <ChooseFiles
          primary
          words="Choose machine files"
          accept=".dst,.zip"
          onFiles={(files) => void bring.start(files)}
        />
      }
      picture={<EmptyPicture />}
    >
      <p>
        Drop machine files (.dst) anywhere on this page, one, many, or a zip of them. Each is read, checked
        and drawn as thread at true scale. Then say which of your threads sews each part.
      </p>
    </Empty>
  );
  return (
    <>
      <PageHead
        title="Designs"
        lead="Machine files, drawn as thread; each part with the thread that sews it."
        acts={acts}
      />
      <DropVeil shown={over} words="Drop to bring in" />
      <BringInReport state={bring.state} onCancel={bring.cancel} onClear={bring.clear} />
      <RecordTable
        label="Designs"
        columns={asList ? listColumns(threads, lengthUnit) : []}
        answer={answer}
        address={address}
        rowId={(row) => row.id}
        rowWords={(row) => row.name}
        link={(row) => ({ to: "/designs/$id", params: { id: row.id } })}
        canArchive
        isQuiet={(row) => row.archived}
        searchWords="Search designs"
        ownSorting
        filterWords={["kind"]}
        filters={filters}
        empty={empty}
        body={
          asList
            ? undefined
            : (designs) => (
                <ul className="design-grid">
                  {designs.map((row) => (
                    <DesignCard key={row.id} row={row} threads={threads} />
                  ))}
                </ul>
              )
        }
        waiting={
          <div className="design-grid" aria-hidden>
            {Array.from({ length: 8 }, (_, card) => (
              <Skeleton key={card} height={260} radius="md" />
            ))}
          </div>
        }
      />
    </>
  );
}

const listColumns = (threads: Threads, unit: "mm" | "inch"): readonly Column<shapes.DesignRecord>[] => [
  {
    id: "name",
    title: "Design",
    sortable: true,
    cell: (row) => (
      <>
        <img
          className="design-thumb"
          loading="lazy"
          alt=""
          src={addressOf("designPicture", { id: row.latest.id })}
        />
        {row.name}
      </>
    ),
  },
  {
    id: "colours",
    title: "Threads in order",
    width: "22%",
    onCard: "alone",
    cell: (row) => <Hem parts={hemOf(row.latest, threads)} />,
  },
  {
    id: "size",
    title: "Size",
    numeric: true,
    cell: (row) => sizeWords(widthOf(row.latest), heightOf(row.latest), unit),
  },
  {
    id: "stitches",
    title: "Stitches",
    numeric: true,
    sortable: true,
    cell: (row) => number.format(row.latest.stitches),
  },
  {
    id: "version",
    title: "Version",
    numeric: true,
    from: "tablet",
    onCard: "hidden",
    cell: (row) => row.latest.number,
  },
  {
    id: "findings",
    title: "Findings",
    from: "tablet",
    onCard: "alone",
    cell: (row) => <FindingsMark version={row.latest} />,
  },
];

function DesignCard({ row, threads }: { readonly row: shapes.DesignRecord; readonly threads: Threads }) {
  const unit = useHabits().lengthUnit;
  const { latest } = row;
  return (
    <li className={`design-card sheet${row.archived ? " is-quiet" : ""}`}>
      <Link to="/designs/$id" params={{ id: row.id }} className="design-link">
        <span className="design-picture">
          <img loading="lazy" alt="" src={addressOf("designPicture", { id: latest.id })} />
        </span>
        <Hem parts={hemOf(latest, threads)} decorative />
        <span className="design-name">{row.name}</span>
        <span className="quiet">
          {lengthWords(widthOf(latest), unit).replace(/ (mm|in)$/, "")} ×{" "}
          {lengthWords(heightOf(latest), unit)}
          <br />
          {number.format(latest.stitches)} stitches · {latest.parts.length}{" "}
          {latest.parts.length === 1 ? "part" : "parts"}
        </span>
        <FindingsMark version={latest} />
        {row.archived && <span className="quiet">archived</span>}
      </Link>
    </li>
  );
}

/** An anchor in satin and running stitch: what a design looks like here. */
function EmptyPicture() {
  const rungs = Array.from({ length: 46 }, (_, i) => 26 + i * 2);
  return (
    <svg viewBox="0 0 200 150" width="220" height="165" aria-hidden className="empty-picture">
      <g stroke="#24406b" strokeWidth="1.5" strokeLinecap="round">
        {rungs.map((y, i) => (
          <line key={y} x1={i % 2 ? 94 : 95} x2={i % 2 ? 106 : 105} y1={y} y2={y + 1} />
        ))}
        {rungs.slice(0, 21).map((_, i) => {
          const angle = Math.PI * (0.06 + (0.88 * i) / 20);
          const [c, s] = [Math.cos(angle), Math.sin(angle)];
          return <line key={i} x1={100 + c * 46} y1={74 + s * 46} x2={100 + c * 56} y2={74 + s * 56} />;
        })}
        {rungs.slice(0, 16).map((_, i) => (
          <line key={i} x1={76 + i * 3.2} x2={77 + i * 3.2} y1={40} y2={48} />
        ))}
      </g>
      <circle cx="100" cy="18" r="8" fill="none" stroke="#c2542d" strokeWidth="3" strokeDasharray="5 2.4" />
      <path
        d="M28 134q18 -10 36 0t36 0t36 0t36 0"
        fill="none"
        stroke="#2c7a84"
        strokeWidth="2.4"
        strokeDasharray="6 3"
      />
    </svg>
  );
}

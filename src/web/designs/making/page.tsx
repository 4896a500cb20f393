import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer } from "../../asking";
import { useListAddress } from "../../parts/list-address";
import { TroubleSheet, Waiting } from "../../parts/states";
import { MakingFrame, type MakingStart } from "./frame";
import { emptyMaking, freshLettering } from "./making";
import "./making.css";

/** Lettering: a text as stitches while it is typed. */
export const LetteringPage = () => <MakingPage title="Lettering" />;
/** Artwork: a drawing or picture as stitches, part by part. */
export const ArtworkPage = () => <MakingPage title="Artwork" />;

function MakingPage({ title }: Pick<MakingStart, "title">) {
  const address = useListAddress();
  const version = address.word("version");
  const base = address.word("with");
  if (version) return <FromVersion key={version} versionId={version} title={title} />;
  return <Fresh key={`${title} ${base}`} base={base} title={title} />;
}

function Fresh({ base, title }: { readonly base: string; readonly title: MakingStart["title"] }) {
  const [making] = useState(() => {
    const stored = base ? [{ kind: "design", key: "i1", xMm: 0, yMm: 0, turnDeg: 0, versionId: base, sizePercent: 100, threadIds: null } as const] : []; // prettier-ignore
    const text = title === "Lettering" ? [freshLettering("i2", { yMm: base ? -40 : 0 })] : [];
    return emptyMaking([...stored, ...text]);
  });
  return <MakingFrame making={making} from={null} title={title} />;
}

function FromVersion({ versionId, title }: { readonly versionId: string; readonly title: MakingStart["title"] }) {
  const read = useAnswer("designs", "readMaking", { params: { id: versionId } });
  if (read.isPending) return <Waiting words="Fetching how it is made" />;
  if (read.isError) return <TroubleSheet trouble={read.error} onAgain={() => void read.refetch()} />;
  const { making, designId, designName, number } = read.data;
  if (making) return <MakingFrame making={making} from={{ designId, name: designName, number }} title={title} />;
  return (
    <div className="state sheet">
      <h1 className="making-none">{designName} has stitches only</h1>
      <p>
        It was not made here, so it cannot be made again at another size or on other cloth. It can be put on a frame
        with lettering or artwork beside it.
      </p>
      <Button size="md" component={Link} to="/designs/lettering" search={{ with: versionId } as never}>
        Put lettering with it
      </Button>
    </div>
  );
} // prettier-ignore

/** On a design's page: a way back to how it was made, or that there is none. */
export function HowItIsMade({ versionId }: { readonly versionId: string }) {
  const read = useAnswer("designs", "readMaking", { params: { id: versionId } });
  if (!read.data) return null;
  const { making, source } = read.data;
  const title = making?.items.some((item) => item.kind === "artwork") ? "artwork" : "lettering";
  return (
    <section className="making-card sheet" aria-label="How it is made">
      {making ? (
        <>
          <p className="quiet making-note">Made here: it can be made again at another size, on other cloth, in other threads.</p>
          <Button size="md" variant="default" component={Link} to={`/designs/${title}`} search={{ version: versionId } as never}>
            Change how it is made
          </Button>
        </>
      ) : (
        <>
          <p className="quiet making-note">
            {source === "recipe" || source === "lettering"
              ? "Made by a product’s recipe with an order’s text."
              : "This version has stitches only: how it was made is not known, so it keeps its size."}
          </p>
          <Button size="md" variant="default" component={Link} to="/designs/lettering" search={{ with: versionId } as never}>
            Put lettering with it
          </Button>
        </>
      )}
    </section>
  );
} // prettier-ignore

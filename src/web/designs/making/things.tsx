import { Button } from "@mantine/core";
import { ask } from "../../client";
import { showTrouble } from "../../parts/notices";
import { DesignSelect } from "../../studio/design-select";
import { ChooseFiles } from "../bring-in";
import { freshKey, freshLettering, type Item, type Making, moved, wordsOf } from "./making";
import { StoredName } from "./stored-fields";
import type { useDrawings } from "./use-drawings";
import type { Made } from "./use-making";

const DRAWINGS = ".svg,.png,.jpg,.jpeg";

/** The things on the frame in sewing order, and ways to put more on it. */
export function Things({
  making,
  made,
  chosen,
  onChoose,
  onSet,
  onAdd,
  drawings,
  fontTrouble,
}: {
  readonly making: Making;
  readonly made: Made | null;
  readonly chosen: string | null;
  readonly onChoose: (key: string) => void;
  readonly onSet: (items: Item[]) => void;
  readonly onAdd: (item: Item) => void;
  readonly drawings: ReturnType<typeof useDrawings>;
  readonly fontTrouble: string | null;
}) {
  const { items } = making;
  return (
    <section className="making-card sheet" aria-labelledby="things-head">
      <h2 id="things-head">On the frame</h2>
      {items.length === 0 && <p className="quiet">Nothing yet. Write something, or bring in a drawing.</p>}
      <ol className="making-things">
        {items.map((one, at) => (
          <li key={one.key} data-chosen={one.key === chosen || undefined}>
            <button
              type="button"
              className="making-thing"
              aria-pressed={one.key === chosen}
              onClick={() => onChoose(one.key)}
            >
              {one.kind === "design" ? <StoredName versionId={one.versionId} /> : wordsOf(one)}
            </button>
            {items.length > 1 && (
              <>
                <Button
                  size="md"
                  variant="default"
                  px={10}
                  disabled={at === 0}
                  aria-label={`${wordsOf(one)}: sew earlier`}
                  onClick={() => onSet(moved(items, at, -1))}
                >
                  ↑
                </Button>
                <Button
                  size="md"
                  variant="default"
                  px={10}
                  disabled={at === items.length - 1}
                  aria-label={`${wordsOf(one)}: sew later`}
                  onClick={() => onSet(moved(items, at, 1))}
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
              onClick={() => onSet(items.filter((other) => other.key !== one.key))}
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
            onAdd(freshLettering(freshKey(making), { yMm: items.length > 0 ? lowest(made) : 0 }))
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
      {fontTrouble && (
        <p role="alert" className="making-wrong">
          {fontTrouble}
        </p>
      )}
      <details className="making-more">
        <summary>Add a design of the studio</summary>
        <AddStored
          onAdd={(versionId) =>
            onAdd({
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
  );
}

const lowest = (made: Made | null) => (made ? Math.round(made.preview.extentsMm.bottom - 18) : 0);

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

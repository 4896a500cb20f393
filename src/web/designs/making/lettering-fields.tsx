import { useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import type { shapes } from "#contract";
import { useAnswer } from "../../asking";
import { ask, Trouble } from "../../client";
import { ChoiceField, choicesOf, NumberField, Row, TextField } from "../../parts/form";
import { LengthField } from "../../parts/quantity";
import { ChooseFiles } from "../bring-in";
import type { Lettering } from "./making";
import { ThreadSelect } from "./thread-select";

export type SetItem<I> = (set: Partial<I>, tag: string) => void;

/** The letters there are to choose from, and a way to add a font. */
export function FaceField({ value, onChange }: { readonly value: string; readonly onChange: (face: string) => void }) {
  const faces = useAnswer("fonts", "listFaces", {});
  const items = faces.data?.items ?? [];
  const known = items.some((face) => face.key === value);
  const choices = [
    ...(known ? [] : [{ value, words: value.slice(value.indexOf(":") + 1) }]),
    ...items.map((face) => ({ value: face.key, words: `${face.name}: ${face.about}` })),
  ];
  return <ChoiceField label="Letters" value={value} choices={choices} onChange={onChange} />;
} // prettier-ignore

/** Adds font files; gives the face of the last one. */
export function useAddFonts(onFace: (face: shapes.Face) => void) {
  const queries = useQueryClient();
  const [said, setSaid] = useState<{ readonly words: string; readonly wrong: boolean } | null>(null);
  const add = async (files: readonly File[]) => {
    for (const file of files)
      try {
        const { value } = await ask("addFont", { query: { name: file.name }, body: file });
        await queries.invalidateQueries({ queryKey: ["fonts"] });
        setSaid({ words: `${value.face.name} ${value.already ? "was there already" : "is added"}.`, wrong: false });
        onFace(value.face);
      } catch (reason) {
        const problem = reason instanceof Trouble ? reason.problem : null;
        setSaid({ words: `${file.name}: ${problem ? `${problem.detail} ${problem.advice}` : String(reason)}`, wrong: true });
      }
  };
  return { said, add };
} // prettier-ignore

/** Everything about one piece of lettering but where it lies. */
export function LetteringFields({
  item,
  made,
  onSet,
}: {
  readonly item: Lettering;
  readonly made: shapes.MadePreview["items"][number] | undefined;
  readonly onSet: SetItem<Lettering>;
}) {
  const fonts = useAddFonts((face) => onSet({ face: face.key }, "face"));
  const { bend } = item;
  return (
    <div className="making-fields">
      <TextField
        long
        label="Text"
        placeholder="Olivia"
        hint="a new line starts a new line of letters"
        value={item.text}
        onChange={(text) => onSet({ text: text.slice(0, 200) }, `text ${item.key}`)}
        error={missingWords(made)}
      />
      <FaceField value={item.face} onChange={(face) => onSet({ face }, "face")} />
      <div className="making-beside">
        <ChooseFiles words="Add a font file" accept=".ttf,.otf,.woff,.woff2" onFiles={(files) => void fonts.add(files)} />
        {fonts.said && (
          <span role={fonts.said.wrong ? "alert" : "status"} className={fonts.said.wrong ? "making-wrong" : "quiet"}>
            {fonts.said.words}
          </span>
        )}
      </div>
      <Row>
        <LengthField
          label="Height of capitals"
          value={item.heightMm}
          onChange={(heightMm) => onSet({ heightMm: heightMm ?? Number.NaN }, `height ${item.key}`)}
        />
        <LengthField
          label="Width to fit"
          usual="as it comes"
          value={item.widthMm}
          onChange={(widthMm) => onSet({ widthMm }, `width ${item.key}`)}
        />
      </Row>
      {item.widthMm !== null && typeof made?.heightMm === "number" && (
        <p className="quiet making-note">Made {made.heightMm} mm high to give this width.</p>
      )}
      <Row>
        <ChoiceField
          label="Baseline"
          value={bend.as}
          choices={choicesOf({ straight: "straight", arc: "on an arc", circle: "on a circle" })}
          onChange={(as) =>
            onSet(
              {
                bend:
                  as === "straight" ? { as } : as === "arc" ? { as, degrees: 90 } : { as, radiusMm: Math.max(40, item.heightMm || 0), side: "upper" },
              },
              "bend",
            )
          }
        />
        {bend.as === "arc" && (
          <NumberField
            label="Over an angle of"
            unit="°"
            min={-330}
            max={330}
            value={bend.degrees}
            onChange={(degrees) => onSet({ bend: { as: "arc", degrees: degrees ?? Number.NaN } }, `arc ${item.key}`)}
          />
        )}
        {bend.as === "circle" && (
          <LengthField
            label="Radius"
            value={bend.radiusMm}
            onChange={(radiusMm) => onSet({ bend: { ...bend, radiusMm: radiusMm ?? Number.NaN } }, `radius ${item.key}`)}
          />
        )}
      </Row>
      {bend.as === "circle" && (
        <ChoiceField
          label="Side of the circle"
          value={bend.side}
          choices={choicesOf({ upper: "along the top", lower: "along the bottom" })}
          onChange={(side) => onSet({ bend: { ...bend, side } }, "side")}
        />
      )}
      <ThreadSelect
        label="Thread of the letters"
        value={item.threadId}
        onChange={(threadId) => onSet({ threadId }, "thread")}
      />
      <details className="making-more">
        <summary>Spacing, lines and order</summary>
        <Row>
          <LengthField
            label="Between letters"
            min={-50}
            value={item.letterSpacingMm}
            onChange={(letterSpacingMm) => onSet({ letterSpacingMm: letterSpacingMm ?? Number.NaN }, `letters ${item.key}`)}
          />
          <LengthField
            label="Between words"
            min={-50}
            value={item.wordSpacingMm}
            onChange={(wordSpacingMm) => onSet({ wordSpacingMm: wordSpacingMm ?? Number.NaN }, `words ${item.key}`)}
          />
        </Row>
        <Row>
          <ChoiceField
            label="Lines stand"
            value={item.align}
            choices={choicesOf({ left: "at the left", centre: "in the middle", right: "at the right" })}
            onChange={(align) => onSet({ align }, "align")}
          />
          <NumberField
            label="Line distance"
            unit="× height"
            decimals={2}
            step={0.05}
            value={item.lineSpacing}
            onChange={(lineSpacing) => onSet({ lineSpacing: lineSpacing ?? Number.NaN }, `lines ${item.key}`)}
          />
        </Row>
        <ChoiceField
          label="Sewn"
          hint="from the middle keeps knits and towels flat"
          value={item.order}
          choices={choicesOf({ along: "along the text", "from-the-middle": "from the middle outwards" })}
          onChange={(order) => onSet({ order }, "order")}
        />
      </details>
    </div>
  );
} // prettier-ignore

function missingWords(made: shapes.MadePreview["items"][number] | undefined): string | undefined {
  if (!made || made.missing.length === 0) return undefined;
  const list = made.missing.map((letter) => `“${letter}”`).join(", ");
  return `These letters are missing in this alphabet: ${list}. Choose other letters or another spelling.`;
}

import { useState } from "react";
import type { NeedleWhy } from "#core/floor";
import { needleSizesNm, needleSizeWords, needleWords } from "#core/shop";
import { Choice, ChoiceSheet } from "./choices";
import { cautions } from "./sentences";
import type { Draft } from "./use-floor";

const POINTS = ["sharp", "ball"] as const;

/** A needle changed for one of another size or point: what is in now. */
export function NeedleQuestion({
  machineId,
  needle,
  known,
  why,
  onTell,
  onClose,
}: {
  readonly machineId: string;
  readonly needle: number;
  /** What was in it. */
  readonly known: { readonly sizeNm: number; readonly point: "sharp" | "ball" };
  readonly why: NeedleWhy;
  readonly onTell: (draft: Draft, words: string) => void;
  readonly onClose: () => void;
}) {
  const [sizeNm, setSize] = useState(known.sizeNm);
  const [point, setPoint] = useState(known.point);
  const sizes = [...new Set([...needleSizesNm, known.sizeNm])].sort((a, b) => a - b);
  const isOther = sizeNm !== known.sizeNm || point !== known.point;
  return (
    <ChoiceSheet title={`Needle ${needle}: which is in it now?`} onClose={onClose}>
      <p className="quiet">
        It was {needleWords(known.sizeNm, known.point)}. {cautions.needle}
      </p>
      <div className="choice-row" role="group" aria-label="Size">
        {sizes.map((size) => (
          <Choice key={size} tone={size === sizeNm ? "chosen" : "plain"} onChoose={() => setSize(size)}>
            {needleSizeWords(size)}
          </Choice>
        ))}
      </div>
      <div className="choice-row" role="group" aria-label="Point">
        {POINTS.map((one) => (
          <Choice key={one} tone={one === point ? "chosen" : "plain"} onChoose={() => setPoint(one)}>
            {one}
          </Choice>
        ))}
      </div>
      <Choice
        tone="go"
        onChoose={() => {
          onTell(
            {
              kind: "needle-changed",
              machineId,
              needle,
              why: isOther && why === "worn" ? "other-size" : why,
              sizeNm,
              point,
            },
            `Needle ${needle} is ${needleWords(sizeNm, point)} now`,
          );
          onClose();
        }}
      >
        Needle {needle} is {needleWords(sizeNm, point)} now
      </Choice>
    </ChoiceSheet>
  );
}

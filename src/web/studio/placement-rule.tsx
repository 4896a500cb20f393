import type { Answer, Asked, Rows } from "#contract";
import { Button } from "@mantine/core";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";
import { ChoiceField, choicesOf, Note, NumberField, Row } from "../parts/form";
import "./placement-rule.css";

/** How a product's placement is measured on the cloth, and how exact it must be: kept by itself, beside the product. */

type Own = NonNullable<Asked<Rows["setPlacementRule"]>["body"]["own"]>;
type Rule = Answer<"readPlacementRule">["rule"];
type Kind = Rule["rule"];

const ruleWords: Readonly<Record<Kind, string>> = {
  "at place": "where a person touches",
  "below collar": "below the collar seam",
  chest: "on the chest, off the centre line",
  along: "along a hem, edge or stripe",
  "middle of area": "in the middle of an area",
};

/** What each rule begins with; usual measures (TRADE.md, "Placement"; common practice, no source). */
const fresh: { readonly [K in Kind]: Extract<Rule, { rule: K }> } = {
  "at place": { rule: "at place", anchor: "middle", turnDeg: 0 },
  "below collar": { rule: "below collar", downMm: 80, rightMm: 0, anchor: "top", turnDeg: 0 },
  chest: {
    rule: "chest",
    side: "wearer's left",
    downMm: 200,
    offCentreMm: 110,
    anchor: "middle",
    turnDeg: 0,
  },
  along: { rule: "along", mark: "hem", inMm: 60, alongMm: null, anchor: "bottom", turnDeg: 0 },
  "middle of area": { rule: "middle of area", anchor: "middle", turnDeg: 0 },
};

export function PlacementRule({
  productId,
  placementId,
}: {
  readonly productId: string;
  readonly placementId: string;
}) {
  const rule = useAnswer("placing", "readPlacementRule", {
    params: { id: productId, placement: placementId },
  });
  if (rule.isError)
    return rule.error.problem.status === 404 ? (
      <p className="quiet">Save the product first; then say how this placement is measured.</p>
    ) : (
      <p className="thread-field-error">{rule.error.problem.detail}</p>
    );
  if (!rule.data) return <p className="quiet">Reading how it is placed …</p>;
  return <RuleForm key={rule.data.version} answer={rule.data} />;
}

function RuleForm({ answer }: { readonly answer: Answer<"readPlacementRule"> }) {
  const [own, setOwn] = useState<Own>({ rule: answer.rule, tolerance: answer.tolerance });
  const save = useChange("setPlacementRule", { lists: ["placing"], done: "How it is placed is kept." });
  const { rule, tolerance } = own;
  const set = (change: Partial<Rule>) => setOwn({ ...own, rule: { ...rule, ...change } as Own["rule"] });
  const numbers = [
    tolerance.mm,
    tolerance.degrees,
    ...Object.values(rule).filter((one) => typeof one === "number"),
  ];
  const isTyped = numbers.every((one) => Number.isFinite(one));
  const send = (to: Own | null) =>
    save.mutate({ params: { id: answer.productId, placement: answer.placementId }, body: { own: to } });
  return (
    <details className="placement-more placement-rule">
      <summary>How it is placed: {ruleWords[answer.rule.rule]}</summary>
      <div className="placement-rule-form">
        <ChoiceField
          label="Measured"
          value={rule.rule}
          onChange={(kind) => setOwn({ ...own, rule: fresh[kind] })}
          choices={choicesOf(ruleWords)}
        />
        <RuleDrawing rule={own.rule as Rule} />
        <Measures rule={own.rule as Rule} set={set} />
        <ChoiceField
          label="Measured to the design’s"
          value={own.rule.anchor ?? "middle"}
          onChange={(anchor) => set({ anchor })}
          choices={choicesOf({ middle: "middle", top: "upper side", bottom: "lower side" })}
        />
        <Row>
          <NumberField
            label="Allowed to be off by"
            unit="mm"
            decimals={1}
            min={0.1}
            max={100}
            value={tolerance.mm}
            onChange={(mm) => setOwn({ ...own, tolerance: { ...tolerance, mm: mm ?? Number.NaN } })}
          />
          <NumberField
            label="and turned by"
            unit="°"
            decimals={2}
            min={0.05}
            max={45}
            value={tolerance.degrees}
            onChange={(degrees) =>
              setOwn({ ...own, tolerance: { ...tolerance, degrees: degrees ?? Number.NaN } })
            }
          />
        </Row>
        <p className="quiet">3° of tilt passes unseen at a glance; 1° is 1.7 mm over 100 mm.</p>
        {!answer.areOwn && <Note>The usual rule, until another is kept.</Note>}
        <div className="placement-rule-acts">
          <Button size="md" disabled={!isTyped} loading={save.isPending} onClick={() => send(own)}>
            Keep how it is placed
          </Button>
          {answer.areOwn && (
            <Button size="md" variant="subtle" onClick={() => send(null)}>
              The usual again
            </Button>
          )}
        </div>
      </div>
    </details>
  );
}

function Measures({ rule, set }: { readonly rule: Rule; readonly set: (change: Partial<Rule>) => void }) {
  const mm = (label: string, value: number | null, change: (mm: number) => Partial<Rule>, hint?: string) => (
    <NumberField
      label={label}
      unit="mm"
      decimals={1}
      min={-1000}
      hint={hint}
      value={value}
      onChange={(typed) => set(change(typed ?? Number.NaN))}
    />
  );
  if (rule.rule === "below collar")
    return (
      <Row>
        {mm("Down from the collar seam", rule.downMm, (downMm) => ({ downMm }))}
        {mm("Right of the centre line", rule.rightMm, (rightMm) => ({ rightMm }), "0: centred")}
      </Row>
    );
  if (rule.rule === "chest")
    return (
      <>
        <ChoiceField
          label="Side"
          value={rule.side}
          onChange={(side) => set({ side })}
          choices={choicesOf({
            "wearer's left": "the wearer’s left",
            "wearer's right": "the wearer’s right",
          })}
        />
        <Row>
          {mm("Down from the shoulder seam", rule.downMm, (downMm) => ({ downMm }))}
          {mm("Off the centre line", rule.offCentreMm, (offCentreMm) => ({ offCentreMm }))}
        </Row>
      </>
    );
  if (rule.rule === "along")
    return (
      <>
        <ChoiceField
          label="Along the"
          value={rule.mark}
          onChange={(mark) => set({ mark })}
          choices={choicesOf({ hem: "hem", edge: "edge", stripe: "stripe" })}
        />
        <Row>
          {mm("In from it", rule.inMm, (inMm) => ({ inMm }))}
          <NumberField
            label="Along it from where it was touched first"
            unit="mm"
            decimals={1}
            min={-1000}
            usual="in the middle"
            value={rule.alongMm}
            onChange={(alongMm) => set({ alongMm })}
          />
        </Row>
      </>
    );
  return null;
}

const drawn: Readonly<Record<Kind, string>> = {
  "at place": "A cross where the design’s middle goes, and a line it is straight by",
  "below collar": "A collar seam, the centre line, and the design below the seam",
  chest: "A shoulder seam, the centre line, and the design down from the seam and off the line",
  along: "A hem, and the design parallel to it",
  "middle of area": "An area with the design in its middle",
};

/** The rule as a little drawing: cloth in ink, what is measured in the accent. */
function RuleDrawing({ rule }: { readonly rule: Rule }) {
  const right = rule.rule === "chest" && rule.side === "wearer's right" ? -1 : 1;
  const x = rule.rule === "chest" ? 100 + 34 * right : 100;
  const y = rule.rule === "along" ? 70 : rule.rule === "below collar" ? 74 : 66;
  return (
    <svg className="placement-rule-drawing" viewBox="0 0 200 130" role="img" aria-label={drawn[rule.rule]}>
      {(rule.rule === "below collar" || rule.rule === "chest") && (
        <>
          <path d="M38 128V34l38-20q24 18 48 0l38 20v94" className="rule-cloth" />
          <path d="M100 24v104" className="rule-line" />
        </>
      )}
      {rule.rule === "below collar" && <path d={`M${x} 24v${y - 24 - 14}`} className="rule-measure" />}
      {rule.rule === "chest" && (
        <path d={`M${100 + 24 * right} 16v${y - 16}M100 ${y}h${34 * right}`} className="rule-measure" />
      )}
      {rule.rule === "along" && (
        <>
          <path d="M10 108h180M10 114h180" className="rule-cloth" />
          <path d={`M100 108V${y + 14}`} className="rule-measure" />
        </>
      )}
      {rule.rule === "middle of area" && (
        <>
          <path d="M40 20h120v92h-120z" className="rule-cloth" />
          <path d="M40 20l120 92M160 20l-120 92" className="rule-line" />
        </>
      )}
      {rule.rule === "at place" && (
        <>
          <path d="M100 8v114" className="rule-line" />
          <path d={`M86 ${y}h28M100 ${y - 14}v28`} className="rule-measure" />
        </>
      )}
      <rect
        x={x - 22}
        y={y - 14}
        width="44"
        height="28"
        rx="3"
        className="rule-design"
        transform={`rotate(${-rule.turnDeg} ${x} ${y})`}
      />
    </svg>
  );
}

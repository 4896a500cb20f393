import { Button, Select } from "@mantine/core";
import { useDebouncedValue } from "@mantine/hooks";
import { useState } from "react";
import type { shapes } from "#contract";
import { sewnTexts, unsewnTexts } from "#core/shop";
import { useAnswer } from "../asking";
import { addressOf } from "../client";
import { useThreads } from "../designs/threads";
import { heightOf, widthOf } from "../designs/words";
import { useAll } from "../parts/all-of";
import { NumberField, TextField } from "../parts/form";
import { lengthWords, MoneyField, moneyWords, sizeWords, useHabits } from "../parts/quantity";
import { ThreadField } from "../parts/thread-picker";
import { LinePicture } from "./line-picture";
import { designOfLine, type useProducts } from "./studio-facts";

interface LineProps {
  readonly line: shapes.LineBody;
  readonly number: number;
  readonly products: ReturnType<typeof useProducts>;
  readonly error: (field: string) => string | undefined;
  readonly onChange: (patch: Partial<shapes.LineBody>) => void;
  readonly onRemove: (() => void) | undefined;
}

/** One line: what, how many, which picture, which name, in which threads; with its picture and what is still missing. */
export function LineFields({ line, number, products, error, onChange, onRemove }: LineProps) {
  const product = products.byId.get(line.productId);
  const lettering = product?.placements.find((one) => one.lettering !== null)?.lettering ?? null;
  const takesPicture =
    product !== undefined && product.placements.some((one) => one.lettering?.place !== "alone");
  const designId = designOfLine(line, product);
  const design = useAnswer(
    "designs",
    "readDesign",
    { params: { id: designId ?? "" } },
    { enabled: designId !== null },
  ).data;
  const version = designId === null ? undefined : design?.design.latest;
  const threads = useThreads();
  const { currency } = useHabits();
  const threadAt = (index: number) => line.threadIds?.[index] ?? version?.parts[index]?.threadId ?? null;
  const setThread = (index: number, threadId: string | null) => {
    const ids = (version?.parts ?? []).map((_, at) =>
      at === index ? threadId : (line.threadIds?.[at] ?? null),
    );
    onChange({ threadIds: ids.every((id) => id === null) ? null : ids });
  };
  const colours = (version?.parts ?? []).map(
    (_, index) => threads.get(threadAt(index) ?? "")?.rgb ?? "#9a948a",
  );
  const textThreadId = line.textThreadId ?? lettering?.threadId ?? null;
  return (
    <section className="sheet" aria-label={`Line ${number}`}>
      <div className="order-form-line-head">
        <h2>Line {number}</h2>
        {onRemove && (
          <Button size="md" variant="subtle" onClick={onRemove} aria-label={`Take line ${number} out`}>
            Take out
          </Button>
        )}
      </div>
      <div className="order-form-line">
        <div className="line-fields">
          <div className="form-row">
            <Select
              size="md"
              label="Product"
              placeholder="choose a product"
              data={products.list
                .filter((one) => !one.archived || one.id === line.productId)
                .map((one) => ({ value: one.id, label: `${one.name} (${one.code})` }))}
              value={line.productId || null}
              onChange={(productId) => onChange({ productId: productId ?? "", threadIds: null })}
              searchable
              nothingFoundMessage="No such product"
              error={error("productId") && "Choose a product."}
            />
            <NumberField
              label="How many"
              value={line.quantity}
              onChange={(quantity) => onChange({ quantity: quantity ?? Number.NaN })}
              min={1}
              error={error("quantity")}
            />
          </div>
          {lettering && (
            <div className="form-row">
              <TextField
                label="Personal text"
                hint={textHint(product, lettering)}
                {...(lettering.text !== undefined || lettering.further ? { long: true as const } : {})}
                value={line.personalText}
                onChange={(personalText) => onChange({ personalText })}
                error={error("personalText")}
              />
              <ThreadField
                label="Thread of the text"
                value={line.textThreadId}
                onChange={(id) => onChange({ textThreadId: id })}
                noneWords={
                  lettering.threadId
                    ? `the product’s: ${threads.get(lettering.threadId)?.code ?? ""}`
                    : "choose a thread"
                }
                error={error("textThreadId")}
              />
            </div>
          )}
          {takesPicture && (
            <PictureChoice
              value={line.designId}
              usual={product?.placements.find((one) => one.designId !== null)?.designId ?? null}
              onChange={(id) => onChange({ designId: id, threadIds: null })}
              error={error("designId")}
            />
          )}
          {version && version.parts.length > 0 && takesPicture && (
            <details className="line-more">
              <summary>
                Threads of the picture:{" "}
                {line.threadIds === null ? "as the design has them" : "changed for this line"}
              </summary>
              <div className="line-threads">
                {version.parts.map((part, index) => (
                  <ThreadField
                    key={index}
                    label={`Part ${index + 1}`}
                    value={line.threadIds?.[index] ?? null}
                    onChange={(id) => setThread(index, id)}
                    noneWords={
                      part.threadId
                        ? `the design’s: ${threads.get(part.threadId)?.code ?? ""}`
                        : "choose a thread"
                    }
                  />
                ))}
              </div>
            </details>
          )}
          <div className="form-row">
            <MoneyField
              label="Price of one"
              value={line.priceCents}
              onChange={(priceCents) => onChange({ priceCents })}
              usual={product ? moneyWords(product.priceCents, currency) : "the product’s"}
              error={error("priceCents")}
            />
            <TextField
              label="Note"
              value={line.note}
              onChange={(note) => onChange({ note })}
              error={error("note")}
            />
          </div>
        </div>
        <div className="line-side">
          {product && (designId !== null || (lettering && line.personalText.trim() !== "")) ? (
            <LinePicture
              address={version && takesPicture ? addressOf("designStitches", { id: version.id }) : null}
              pictureColours={colours}
              text={line.personalText}
              lettering={lettering}
              cloth={product.cloth}
              textColour={threads.get(textThreadId ?? "")?.rgb ?? "#9a948a"}
            />
          ) : (
            <div className="line-picture">
              {product
                ? "The picture shows here once there is something to sew."
                : "Choose a product to begin."}
            </div>
          )}
          <Missing
            line={line}
            product={product}
            version={version}
            designId={designId}
            textThreadId={textThreadId}
            threadAt={threadAt}
          />
        </div>
      </div>
    </section>
  );
}

/** Pictures found by name as it is typed; empty takes the product's own. */
function PictureChoice({
  value,
  usual,
  onChange,
  error,
}: {
  readonly value: string | null;
  readonly usual: string | null;
  readonly onChange: (id: string | null) => void;
  readonly error: string | undefined;
}) {
  const [typed, setTyped] = useState("");
  const [q] = useDebouncedValue(typed, 200);
  const found =
    useAnswer("designs", "listDesigns", { query: { q, limit: 50, sort: "name" } }, { keep: true }).data
      ?.items ?? [];
  const now = useAnswer("designs", "readDesign", { params: { id: value ?? "" } }, { enabled: value !== null })
    .data?.design;
  const own = useAnswer("designs", "readDesign", { params: { id: usual ?? "" } }, { enabled: usual !== null })
    .data?.design;
  const known = now && !found.some((one) => one.id === now.id) ? [now, ...found] : found;
  return (
    <Select
      size="md"
      label="Picture"
      placeholder={own ? `the product’s: ${own.name}` : usual ? "the product’s own" : "choose a design"}
      data={known.map((one) => ({ value: one.id, label: one.name }))}
      value={value}
      onChange={onChange}
      searchable
      clearable
      clearButtonProps={{ "aria-label": "Take the product’s own picture" }}
      onSearchChange={(text) => setTyped(text === now?.name ? "" : text)}
      filter={({ options }) => options}
      nothingFoundMessage="No design of that name"
      error={error}
    />
  );
}

type Lettering = NonNullable<shapes.ProductRecord["placements"][number]["lettering"]>;

/** How the text is sewn; of several, which goes where. */
function textHint(product: shapes.ProductRecord | undefined, { heightMm, maxWidthMm }: Lettering): string {
  const lines = (product?.placements ?? []).flatMap(({ name, lettering }) =>
    lettering === null || (lettering.text === undefined && !lettering.further?.length)
      ? []
      : [lettering, ...(lettering.further ?? [])].map((line, at) => ({ number: line.text ?? at + 1, words: `${name}, ${line.heightMm} mm high` })),
  );
  if (lines.length === 0) return `letters ${heightMm} mm high, up to ${maxWidthMm} mm wide`;
  return `one text a line: ${lines.sort((a, b) => a.number - b.number).map(({ number, words }) => `${number} ${words}`).join("; ")}`;
} // prettier-ignore

interface MissingProps {
  readonly line: shapes.LineBody;
  readonly product: shapes.ProductRecord | undefined;
  readonly version: shapes.DesignVersion | undefined;
  readonly designId: string | null;
  readonly textThreadId: string | null;
  readonly threadAt: (index: number) => string | null;
}

/** What keeps the line's pieces from being sewn, before it is saved. */
function Missing({ line, product, version, designId, textThreadId, threadAt }: MissingProps) {
  const hoops = useAll("hoops").data;
  const { lengthUnit } = useHabits();
  if (!product) return null;
  const says: string[] = [];
  for (const placement of product.placements) {
    const { lettering } = placement;
    const named = lettering !== null && sewnTexts(lettering, line.personalText).length > 0;
    if (lettering?.place === "alone" && !named) says.push(`${placement.name}: the personal text is missing.`);
    if (lettering !== null && lettering.place !== "alone" && !named)
      says.push(`${placement.name}: without personal text the picture is sewn alone.`);
    if (lettering?.place !== "alone" && designId === null)
      says.push(`${placement.name}: a picture is missing.`);
    if (named && textThreadId === null) says.push(`${placement.name}: the text has no thread.`);
    const hoop = hoops?.find((one) => one.id === placement.hoopId);
    if (placement.hoopId === null) says.push(`${placement.name}: the product names no hoop.`);
    if (
      hoop &&
      version &&
      lettering?.place !== "alone" &&
      (widthOf(version) > hoop.fieldWidthMm || heightOf(version) > hoop.fieldHeightMm)
    )
      says.push(
        `${placement.name}: the picture is ${sizeWords(widthOf(version), heightOf(version), lengthUnit)}, hoop ${hoop.name} takes ${lengthWords(hoop.fieldWidthMm, lengthUnit)} × ${lengthWords(hoop.fieldHeightMm, lengthUnit)}.`,
      );
  }
  const letterings = product.placements.flatMap(({ lettering }) => lettering ?? []);
  for (const text of letterings.length > 0 ? unsewnTexts(letterings, line.personalText) : [])
    says.push(`Nothing sews “${text}”: the product has no line for it.`);
  const bare = (version?.parts ?? []).filter((_, index) => threadAt(index) === null).length;
  if (bare > 0)
    says.push(
      bare === 1 ? "One part of the picture has no thread." : `${bare} parts of the picture have no thread.`,
    );
  if (version?.findings.some((finding) => finding.level === "stop"))
    says.push("The picture has something to mend; look at it under Designs.");
  return (
    <ul className="line-missing" aria-live="polite">
      {says.length === 0 ? (
        <li className="is-ready">Nothing is missing: it can be planned.</li>
      ) : (
        [...new Set(says)].map((words) => <li key={words}>{words}</li>)
      )}
    </ul>
  );
}

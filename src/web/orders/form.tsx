import { Button } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useBlocker, useNavigate } from "@tanstack/react-router";
import { type FormEvent, useEffect, useRef } from "react";
import { rows, type shapes } from "#contract";
import { addDays } from "#core/shop";
import { useAnswer } from "../asking";
import { ask } from "../client";
import { Conflict, type FieldWords } from "../parts/conflict";
import { AddRow, DateField, Fields, Note, Row, TextField } from "../parts/form";
import { offerUndo } from "../parts/notices";
import { useDraft } from "../parts/record-form";
import { Waiting } from "../parts/states";
import { LineFields } from "./line-fields";
import { useProducts, useToday } from "./studio-facts";
import { dayWords, dueWords } from "./words";
import "./orders.css";

type Body = shapes.OrderBody;
/** A promise is made for two weeks ahead unless somebody says otherwise (common practice, no source). */
const USUAL_DAYS = 14;

const blankLine = (): shapes.LineBody => ({
  id: null,
  productId: "",
  quantity: 1,
  personalText: "",
  designId: null,
  threadIds: null,
  textThreadId: null,
  priceCents: null,
  note: "",
});

function bodyOfOrder(order: shapes.OrderRecord): Body {
  const { reference, customer, channel, placedOn, promiseDate, shipBy, note } = order;
  return {
    reference,
    customer,
    channel,
    placedOn,
    promiseDate,
    shipBy,
    note,
    lines: order.lines.map(({ position: _, ...line }) => line),
  };
}

const fieldNames: Readonly<Record<string, string>> = {
  reference: "Reference",
  customer: "Customer",
  channel: "Channel",
  placedOn: "Placed on",
  promiseDate: "Promised for",
  shipBy: "Ship by",
  note: "Note",
  lines: "Lines",
  productId: "product",
  quantity: "how many",
  personalText: "personal text",
  designId: "picture",
  threadIds: "threads",
  textThreadId: "thread of the text",
  priceCents: "price",
};

function labelOf(path: string): string {
  const [field, index, inner] = path.split(".");
  if (field === "lines" && index !== undefined)
    return `Line ${Number(index) + 1}${inner ? `: ${fieldNames[inner] ?? inner}` : ""}`;
  return fieldNames[field ?? ""] ?? path;
}

/** An order to be typed or changed. What is wrong stands beside its field; what is missing is said at once. */
export function OrderForm({
  order,
  onDone,
}: {
  readonly order: shapes.OrderRecord | null;
  readonly onDone?: () => void;
}) {
  const products = useProducts();
  const studio = useAnswer("studio", "readStudio", {});
  if (!studio.data) return <Waiting words="Opening the form" />;
  return (
    <FormSheet order={order} onDone={onDone} products={products} shipLeadDays={studio.data.shipLeadDays} />
  );
}

interface SheetProps {
  readonly order: shapes.OrderRecord | null;
  readonly onDone?: (() => void) | undefined;
  readonly products: ReturnType<typeof useProducts>;
  readonly shipLeadDays: number;
}

function FormSheet({ order, onDone, products, shipLeadDays }: SheetProps) {
  const today = useToday();
  const navigate = useNavigate();
  const queries = useQueryClient();
  const sheet = useRef<HTMLFormElement>(null);
  const leaving = useRef(false);
  const madeId = useRef<string | null>(null);
  const kept = order ? { body: bodyOfOrder(order), version: order.version } : null;
  const form = useDraft<Body>({
    start: kept ?? {
      body: {
        reference: "",
        customer: "",
        channel: "",
        placedOn: today,
        promiseDate: addDays(today, USUAL_DAYS),
        shipBy: null,
        note: "",
        lines: [blankLine()],
      },
      version: null,
    },
    now: kept,
    shape: rows.createOrder.body,
    readCurrent: (current) => {
      const parsed = rows.createOrder.output.safeParse(current);
      return parsed.success ? { body: bodyOfOrder(parsed.data), version: parsed.data.version } : null;
    },
    send: async (body, version) => {
      const told = order
        ? await ask("changeOrder", { params: { id: order.id }, body, version: version ?? order.version })
        : await ask("createOrder", { body });
      madeId.current = told.value.id;
      for (const list of ["orders", "pieces", "plan"]) void queries.invalidateQueries({ queryKey: [list] });
      offerUndo(`Order ${body.reference} ${order ? "changed" : "added"}.`, told.changeId);
      return told.version ?? told.value.version;
    },
  });
  useBlocker({
    shouldBlockFn: () =>
      form.dirty && !leaving.current && !window.confirm("What you typed is not saved. Leave it?"),
    enableBeforeUnload: () => form.dirty && !leaving.current,
  });
  const wrong = Object.keys(form.errors).length;
  useEffect(() => {
    if (wrong > 0) sheet.current?.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
  }, [wrong]);
  const save = async (event: FormEvent) => {
    event.preventDefault();
    if (!(await form.save())) return;
    leaving.current = true;
    if (onDone) onDone();
    else if (madeId.current) void navigate({ to: "/orders/$id", params: { id: madeId.current } });
  };
  const { value, set, error } = form;
  const setLine = (index: number, patch: Partial<shapes.LineBody>) =>
    set({ lines: value.lines.map((line, at) => (at === index ? { ...line, ...patch } : line)) });
  const words: FieldWords = {
    label: labelOf,
    show: (path, one) => {
      if (path.endsWith("productId")) return products.byId.get(String(one))?.name;
      if (/^\d{4}-\d{2}-\d{2}$/.test(String(one))) return dayWords(String(one), today);
      return path === "shipBy" && one === null ? "counted back from the promise" : undefined;
    },
  };
  return (
    <form ref={sheet} className="order-form" onSubmit={(event) => void save(event)} noValidate>
      {form.clash && (
        <Conflict
          clash={form.clash}
          what={`Order ${order?.reference ?? value.reference}`}
          words={words}
          onSettle={form.settle}
          onTakeTheirs={form.takeTheirs}
        />
      )}
      <div className="sheet">
        <Fields legend="The order">
          <Row>
            <TextField
              label="Reference"
              hint="the customer’s or channel’s own number"
              value={value.reference}
              onChange={(reference) => set({ reference })}
              error={error("reference")}
              required
              autoFocus={order === null}
            />
            <TextField
              label="Customer"
              hint="the name on the parcel"
              value={value.customer}
              onChange={(customer) => set({ customer })}
              error={error("customer")}
            />
            <TextField
              label="Channel"
              hint="market stall, shop page, post …"
              value={value.channel}
              onChange={(channel) => set({ channel })}
              error={error("channel")}
            />
          </Row>
          <Row>
            <DateField
              label="Placed on"
              hint={dayWords(value.placedOn || today, today)}
              value={value.placedOn}
              onChange={(placedOn) => set({ placedOn })}
              error={error("placedOn")}
            />
            <DateField
              label="Promised for"
              hint={dueWords(value.promiseDate || today, today, true).words.replace("ship ", "")}
              value={value.promiseDate}
              onChange={(promiseDate) => set({ promiseDate })}
              error={error("promiseDate")}
            />
            <DateField
              label="Ship by"
              hint={
                value.shipBy === null
                  ? `empty: ${shipLeadDays} working ${shipLeadDays === 1 ? "day" : "days"} before`
                  : "set by hand"
              }
              value={value.shipBy ?? ""}
              onChange={(date) => set({ shipBy: date === "" ? null : date })}
              error={error("shipBy")}
            />
          </Row>
          <TextField
            label="Note"
            value={value.note}
            onChange={(note) => set({ note })}
            error={error("note")}
            long
          />
        </Fields>
      </div>
      {value.lines.map((line, index) => (
        <LineFields
          key={line.id ?? `new-${index}`}
          line={line}
          number={index + 1}
          products={products}
          error={(field) => error(`lines.${index}.${field}`)}
          onChange={(patch) => setLine(index, patch)}
          onRemove={
            value.lines.length > 1
              ? () => set({ lines: value.lines.filter((_, at) => at !== index) })
              : undefined
          }
        />
      ))}
      {error("lines") && <Note kind="late">{error("lines")}</Note>}
      <AddRow onClick={() => set({ lines: [...value.lines, blankLine()] })}>Add a line</AddRow>
      {form.trouble && wrong === 0 && (
        <Note kind="late">
          <b role="alert">{form.trouble.problem.detail}</b> {form.trouble.problem.advice}
        </Note>
      )}
      {form.trouble && wrong > 0 && (
        <Note kind="late">
          <b role="alert">{form.trouble.problem.detail}</b>
        </Note>
      )}
      <div className="order-form-acts">
        {onDone && (
          <Button
            size="md"
            variant="default"
            onClick={() => {
              leaving.current = true;
              onDone();
            }}
          >
            Leave it as it was
          </Button>
        )}
        <Button size="md" type="submit" loading={form.saving} disabled={form.clash !== null}>
          {order ? "Save the order" : "Add the order"}
        </Button>
      </div>
    </form>
  );
}

import { describe, expect, it } from "vitest";
import { saysAll } from "./all-of";
import { bound, type Editable, itemOf, within } from "./bound";

interface Machine {
  name: string;
  needles: { number: number; thread: string | null }[];
  meter: { hours: number } | null;
}

/** A form over a machine that takes each change at once. */
function opened(start: Machine, errors: Readonly<Record<string, string>> = {}) {
  const form = {
    value: start,
    set: (patch: Partial<Machine>) => void (form.value = { ...form.value, ...patch }),
    error: (path: string) => errors[path],
  };
  return form satisfies Editable<Machine>;
}

const gannet: Machine = {
  name: "Gannet",
  needles: [
    { number: 1, thread: "W01" },
    { number: 2, thread: null },
  ],
  meter: { hours: 12 },
};

describe("a field of what is edited", () => {
  it("has its label, its value and what is wrong with it, and changes nothing but itself", () => {
    const form = opened(gannet, { name: "Expected a name." });
    const field = bound(form, { name: "Name" })("name");
    expect(field).toMatchObject({ label: "Name", value: "Gannet", error: "Expected a name." });
    field.onChange("Tern");
    expect(form.value).toEqual({ ...gannet, name: "Tern" });
  });

  it("of an item in a list changes that item and is blamed by the whole path", () => {
    const form = opened(gannet, { "needles.1.thread": "No such thread." });
    const field = bound(itemOf(form, "needles", 1), {})("thread");
    expect(field.error).toBe("No such thread.");
    field.onChange("N11");
    expect(form.value.needles).toEqual([
      { number: 1, thread: "W01" },
      { number: 2, thread: "N11" },
    ]);
    expect(gannet.needles[1]!.thread).toBeNull();
  });

  it("of an object inside changes that object and is blamed by the whole path", () => {
    const form = opened(gannet, { "meter.hours": "At least 0." });
    const field = bound(within(form, "meter", gannet.meter!), { hours: "Hour meter" })("hours");
    expect(field.error).toBe("At least 0.");
    field.onChange(13);
    expect(form.value).toEqual({ ...gannet, meter: { hours: 13 } });
  });
});

describe("searching", () => {
  it("finds a text that says all the words, whatever their order, case and spacing", () => {
    expect(saysAll("navy  n11 ", "N11 harbour Navy polyester")).toBe(true);
    expect(saysAll("navy red", "N11 harbour navy polyester")).toBe(false);
    expect(saysAll("", "anything")).toBe(true);
  });
});

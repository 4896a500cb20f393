import { describe, expect, it } from "vitest";
import { rows } from "#contract";
import { meanings, stillMissing, withMeaning } from "./words";

const readingShape = rows.changeReading.body;
const reading = readingShape.parse({
  encoding: "utf-8",
  delimiter: ",",
  headerRow: true,
  decimal: ".",
  dateOrder: "ymd",
  columns: ["reference", null, "product"],
  promiseDays: null,
});

describe("the columns of an import", () => {
  it("have words for every meaning there is", () => {
    expect(meanings.map((one) => one.value).sort()).toEqual(
      [...readingShape.shape.columns.element.unwrap().options].sort(),
    );
  });

  it("give a meaning to one column only", () => {
    expect(withMeaning(["reference", null, "product"], 1, "reference")).toEqual([
      null,
      "reference",
      "product",
    ]);
    expect(withMeaning(["reference", null, null], 0, null)).toEqual([null, null, null]);
  });

  it("say what is missing until reference, product and a promise are known", () => {
    expect(stillMissing(reading)).toHaveLength(1);
    expect(stillMissing({ ...reading, promiseDays: 14 })).toEqual([]);
    expect(stillMissing({ ...reading, columns: [null, null, "promise-date"] })).toHaveLength(2);
  });
});

import type { shapes } from "#contract";
import { ChoiceField, NumberField, Row } from "../parts/form";
import { meanings, number, withMeaning } from "./words";

interface ChoicesProps {
  readonly reading: shapes.ImportReading;
  readonly busy: boolean;
  readonly onChange: (patch: Partial<shapes.ImportReading>) => void;
}

type Of<K extends keyof shapes.ImportReading> = readonly {
  readonly value: Extract<shapes.ImportReading[K], string>;
  readonly words: string;
}[];
const encodings: Of<"encoding"> = [
  { value: "utf-8", words: "UTF-8" },
  { value: "windows-1252", words: "Windows-1252" },
  { value: "utf-16le", words: "UTF-16 (little-endian)" },
  { value: "utf-16be", words: "UTF-16 (big-endian)" },
];
const delimiters: Of<"delimiter"> = [
  { value: ",", words: "comma ," },
  { value: ";", words: "semicolon ;" },
  { value: "\t", words: "tab" },
  { value: "|", words: "upright bar |" },
];
const dateOrders: Of<"dateOrder"> = [
  { value: "ymd", words: "year, month, day" },
  { value: "dmy", words: "day, month, year" },
  { value: "mdy", words: "month, day, year" },
];
const decimals: Of<"decimal"> = [
  { value: ".", words: "point, 12.50" },
  { value: ",", words: "comma, 12,50" },
];

/** What was recognised, each to be changed; the file is read anew at once. */
export function ReadingChoices({ reading, onChange }: ChoicesProps) {
  return (
    <div className="import-choices">
      <Row>
        <ChoiceField
          label="Letters"
          value={reading.encoding}
          choices={encodings}
          onChange={(value) => onChange({ encoding: value as shapes.ImportReading["encoding"] })}
        />
        <ChoiceField
          label="Between columns"
          value={reading.delimiter}
          choices={delimiters}
          onChange={(value) => onChange({ delimiter: value as shapes.ImportReading["delimiter"] })}
        />
        <ChoiceField
          label="Dates"
          value={reading.dateOrder}
          choices={dateOrders}
          onChange={(value) => onChange({ dateOrder: value as shapes.ImportReading["dateOrder"] })}
        />
        <ChoiceField
          label="Decimals"
          value={reading.decimal}
          choices={decimals}
          onChange={(value) => onChange({ decimal: value as shapes.ImportReading["decimal"] })}
        />
        <ChoiceField
          label="First line"
          value={reading.headerRow ? "headings" : "row"}
          choices={[
            { value: "headings", words: "holds the headings" },
            { value: "row", words: "is an order already" },
          ]}
          onChange={(value) => onChange({ headerRow: value === "headings" })}
        />
        <NumberField
          label={reading.columns.includes("promise-date") ? "No date: promised after" : "Promised after"}
          unit="days"
          value={reading.promiseDays}
          usual="not said"
          max={365}
          onChange={(promiseDays) => {
            if (
              promiseDays === null ||
              (Number.isInteger(promiseDays) && 0 <= promiseDays && promiseDays <= 365)
            )
              onChange({ promiseDays });
          }}
        />
      </Row>
    </div>
  );
}

interface SampleProps {
  readonly one: shapes.ImportRecord;
  readonly reading: shapes.ImportReading;
  readonly busy: boolean;
  readonly onColumns: (columns: shapes.ImportReading["columns"]) => void;
}

/** Rows enough to see what a column is. */
const SHOWN = 8;

/** The first rows as they are read, with what each column is said to be on top. */
export function SampleTable({ one, reading, busy, onColumns }: SampleProps) {
  return (
    <div
      className="import-scroll"
      role="region"
      aria-label="First rows of the file"
      aria-busy={busy}
      tabIndex={0}
    >
      <table className="import-sample">
        <thead>
          <tr>
            {one.headings.map((heading, at) => (
              <th key={at} scope="col" data-used={reading.columns[at] ? true : undefined}>
                <label>
                  <span>{heading}</span>
                  <select
                    className="plain-select"
                    value={reading.columns[at] ?? ""}
                    aria-label={`What column “${heading}” is`}
                    onChange={(event) =>
                      onColumns(
                        withMeaning(
                          reading.columns,
                          at,
                          (event.currentTarget.value || null) as shapes.ColumnMeaning | null,
                        ),
                      )
                    }
                  >
                    <option value="">left out</option>
                    {meanings.map(({ value, words }) => (
                      <option key={value} value={value}>
                        {words}
                      </option>
                    ))}
                  </select>
                </label>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {one.sample.slice(0, SHOWN).map((cells, line) => (
            <tr key={line}>
              {one.headings.map((_, at) => (
                <td key={at} data-used={reading.columns[at] ? true : undefined}>
                  {cells[at] ?? ""}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      {one.rows > SHOWN && <p className="quiet">and {number.format(one.rows - SHOWN)} more rows</p>}
    </div>
  );
}

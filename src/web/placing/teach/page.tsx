import { useState } from "react";
import { NumberField } from "../../parts/form";
import { addressOf } from "../../client";
import { Habits } from "./habits";
import { TaughtHoops } from "./hoops";
import { PhotoSettings } from "./photo-settings";
import { Phones } from "./phones";
import { Steps } from "./steps";
import "../place.css";
import "./teach.css";

/** As the sheet came out of the printer: its 100 mm, measured. */
export interface Printed {
  readonly measuredMm: number;
  readonly measuredSpreadMm: number;
}

/** What is measured once before pieces are placed by phone: the sheet, phones, hoops; and what follows from placings. */
export function PlacingLeaf() {
  const [measuredMm, setMeasured] = useState(100);
  const isTyped = Number.isFinite(measuredMm) && 80 <= measuredMm && measuredMm <= 120;
  const printed: Printed = { measuredMm: isTyped ? measuredMm : 100, measuredSpreadMm: 0.2 };
  return (
    <div className="teach">
      <section className="sheet teach-sheet" aria-labelledby="teach-sheet-title">
        <h2 id="teach-sheet-title">1 · Print the grid sheet</h2>
        <p>
          Phones and hoops are measured on it. Print it at 100 %, not fitted to the page, lay it flat on a
          table, and measure its line of 100 mm with a steel rule.
        </p>
        <div className="place-acts">
          <a className="teach-link" href={addressOf("gridSheet")} target="_blank" rel="noreferrer">
            The grid sheet (PDF)
          </a>
        </div>
        <NumberField
          label="The sheet’s 100 mm measure"
          unit="mm"
          decimals={1}
          min={80}
          max={120}
          value={measuredMm}
          onChange={(mm) => setMeasured(mm ?? 100)}
          error={isTyped ? undefined : "between 80 and 120 mm"}
          hint="so that a printer that shrinks is reckoned with"
        />
      </section>
      <Phones printed={printed} />
      <TaughtHoops printed={printed} />
      <Steps />
      <Habits />
      <PhotoSettings />
    </div>
  );
}

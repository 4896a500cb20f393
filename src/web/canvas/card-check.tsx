import { Button, Modal } from "@mantine/core";
import { useId, useState } from "react";
import { CARD_HEIGHT_MM, CARD_WIDTH_MM, setTrueSize, useTrueSize } from "./true-size";

/** Lays a bank card against the screen and stretches the drawn one until they agree. */
export function CardCheck({ opened, onClose }: { readonly opened: boolean; readonly onClose: () => void }) {
  const { pxPerMm } = useTrueSize();
  const [now, setNow] = useState(pxPerMm);
  const id = useId();
  const save = () => {
    setTrueSize(now);
    onClose();
  };
  const step = (by: number) => setNow((value) => Math.min(12, Math.max(2, value + by)));
  return (
    <Modal
      opened={opened}
      onClose={onClose}
      title="Check this screen's size"
      size="auto"
      centered
      closeButtonProps={{ "aria-label": "Close", size: "xl" }}
    >
      <p className="card-words">
        Hold any bank card against the screen (all are 85.6 mm wide). Move the slider until the drawn card is
        as wide as yours. It is remembered for this screen; the browser's own zoom should stay as it is now.
      </p>
      <div className="card-stage">
        <svg width={CARD_WIDTH_MM * now} height={CARD_HEIGHT_MM * now} aria-hidden>
          <rect
            x="1"
            y="1"
            width={CARD_WIDTH_MM * now - 2}
            height={CARD_HEIGHT_MM * now - 2}
            rx={3.2 * now}
            className="card-outline"
          />
          <text x="50%" y="50%" textAnchor="middle" className="card-text">
            85.6 mm wide
          </text>
        </svg>
      </div>
      <label htmlFor={id} className="visually-hidden">
        Width of the drawn card
      </label>
      <div className="card-row">
        <Button variant="default" size="md" aria-label="Narrower" onClick={() => step(-0.01)}>
          −
        </Button>
        <input
          id={id}
          className="canvas-range"
          type="range"
          min={2}
          max={12}
          step={0.01}
          value={now}
          onChange={(event) => setNow(Number(event.currentTarget.value))}
          aria-valuetext={`${now.toFixed(2)} pixels a millimetre`}
        />
        <Button variant="default" size="md" aria-label="Wider" onClick={() => step(0.01)}>
          +
        </Button>
      </div>
      <div className="card-row card-acts">
        <Button variant="subtle" size="md" onClick={() => (setTrueSize(null), onClose())}>
          Forget it
        </Button>
        <Button size="md" onClick={save}>
          This is as wide as my card
        </Button>
      </div>
    </Modal>
  );
}

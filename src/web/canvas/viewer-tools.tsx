import { Button } from "@mantine/core";

export const cloths = [
  { name: "linen", rgb: "#eee6d6" },
  { name: "white cloth", rgb: "#fbfaf7" },
  { name: "grey cloth", rgb: "#8d9096" },
  { name: "sea green cloth", rgb: "#3d7268" },
  { name: "navy cloth", rgb: "#1f2b45" },
  { name: "black cloth", rgb: "#1d1d20" },
] as const;

interface ToolsProps {
  readonly zoom: (factor: number) => void;
  readonly whole: boolean;
  readonly onWhole: () => void;
  readonly trueSize: boolean;
  readonly onTrueSize: () => void;
  readonly sizeChecked: boolean;
  readonly onCheckSize: () => void;
  readonly cloth: string;
  readonly onCloth: (rgb: string) => void;
  readonly showJumps: boolean;
  readonly onShowJumps: (shown: boolean) => void;
  readonly showDensity: boolean;
  readonly onShowDensity: (shown: boolean) => void;
}

/** How the picture is looked at: size, cloth, what lies over it. */
export function ViewerTools(props: ToolsProps) {
  return (
    <div className="viewer-tools">
      <Button variant="default" size="md" aria-label="Zoom out" onClick={() => props.zoom(0.8)}>
        −
      </Button>
      <Button variant="default" size="md" aria-label="Zoom in" onClick={() => props.zoom(1.25)}>
        +
      </Button>
      <Button
        variant={props.whole ? "filled" : "default"}
        size="md"
        aria-pressed={props.whole}
        onClick={props.onWhole}
      >
        Whole
      </Button>
      <Button
        variant={props.trueSize ? "filled" : "default"}
        size="md"
        aria-pressed={props.trueSize}
        onClick={props.onTrueSize}
      >
        True size
      </Button>
      <Button variant="subtle" size="md" onClick={props.onCheckSize}>
        {props.sizeChecked ? "Size checked" : "Check size"}
      </Button>
      <label className="viewer-choice">
        <span className="visually-hidden">Cloth behind the design</span>
        <select
          className="plain-select"
          value={props.cloth}
          onChange={(event) => props.onCloth(event.currentTarget.value)}
        >
          {cloths.map(({ name, rgb }) => (
            <option key={rgb} value={rgb}>
              on {name}
            </option>
          ))}
        </select>
      </label>
      <Tick words="jumps" checked={props.showJumps} onChange={props.onShowJumps} />
      <Tick words="densest spots" checked={props.showDensity} onChange={props.onShowDensity} />
    </div>
  );
}

function Tick({
  words,
  checked,
  onChange,
}: {
  readonly words: string;
  readonly checked: boolean;
  readonly onChange: (checked: boolean) => void;
}) {
  return (
    <label className="viewer-check">
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.currentTarget.checked)} />{" "}
      {words}
    </label>
  );
}

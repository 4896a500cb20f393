import { type DensityGrid, DENSITY_STEPS, densityStep } from "#drawing";
import { useEffect, useRef } from "react";

/** The map of densest spots laid over the picture: drawn once, then moved and stretched with the view. */
export function DensityLayer({
  grid,
  toX,
  toY,
  scale,
}: {
  readonly grid: DensityGrid;
  readonly toX: (mm: number) => number;
  readonly toY: (mm: number) => number;
  readonly scale: number;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  // Seen from afar, the fullest of some squares stands for all of them: a lump must not fade away.
  const pooled = 2 ** Math.max(0, Math.ceil(Math.log2(1.5 / (grid.cellMm * scale))));
  const columns = Math.max(1, Math.ceil(grid.columns / pooled));
  const rows = Math.max(1, Math.ceil(grid.rows / pooled));
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context || grid.columns === 0) return;
    const most = new Uint8Array(columns * rows);
    for (let row = 0; row < grid.rows; row++)
      for (let column = 0; column < grid.columns; column++) {
        const at = (rows - 1 - Math.floor(row / pooled)) * columns + Math.floor(column / pooled);
        most[at] = Math.max(most[at]!, grid.perMm2[row * grid.columns + column]!);
      }
    const image = new ImageData(columns, rows);
    most.forEach((count, at) => {
      const step = densityStep(count);
      if (step) image.data.set([...step.rgb, step.alpha], 4 * at);
    });
    context.putImageData(image, 0, 0);
  }, [grid, pooled, columns, rows]);
  const cellMm = grid.cellMm * pooled;
  return (
    <canvas
      ref={canvas}
      aria-hidden
      className="viewer-density"
      width={columns}
      height={rows}
      style={{
        left: toX(grid.leftMm - grid.cellMm / 2),
        top: toY(grid.lowMm - grid.cellMm / 2 + rows * cellMm),
        width: columns * cellMm * scale,
        height: rows * cellMm * scale,
      }}
    />
  );
}

/** What the map's colours mean. */
export function DensityKey({ most }: { readonly most: number }) {
  return (
    <div className="viewer-density-key">
      <b>Needle points per mm²</b>
      <ul>
        {DENSITY_STEPS.map(({ words, rgb }) => (
          <li key={words}>
            <span style={{ background: `rgb(${rgb.join(" ")})` }} aria-hidden /> {words}
          </li>
        ))}
      </ul>
      <span className="quiet">{most} at the densest</span>
    </div>
  );
}

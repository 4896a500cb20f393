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
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context || grid.columns === 0) return;
    const image = new ImageData(grid.columns, grid.rows);
    for (let row = 0; row < grid.rows; row++)
      for (let column = 0; column < grid.columns; column++) {
        const step = densityStep(grid.perMm2[row * grid.columns + column]!);
        if (step)
          image.data.set([...step.rgb, step.alpha], 4 * ((grid.rows - 1 - row) * grid.columns + column));
      }
    context.putImageData(image, 0, 0);
  }, [grid]);
  return (
    <canvas
      ref={canvas}
      aria-hidden
      className="viewer-density"
      width={Math.max(1, grid.columns)}
      height={Math.max(1, grid.rows)}
      style={{
        left: toX(grid.leftMm - grid.cellMm / 2),
        top: toY(grid.lowMm + (grid.rows - 0.5) * grid.cellMm),
        width: grid.columns * grid.cellMm * scale,
        height: grid.rows * grid.cellMm * scale,
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

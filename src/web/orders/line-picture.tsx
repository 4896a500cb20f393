import { useDebouncedValue } from "@mantine/hooks";
import { useEffect, useRef, useState } from "react";
import { sizeWords, useHabits } from "../parts/quantity";
import type { LinePictureAsked } from "./line-thread";

/** A line's embroidery as it is typed: the picture in its threads, the name in satin. */
export function LinePicture(asked: LinePictureAsked) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { lengthUnit } = useHabits();
  const [words, setWords] = useState("");
  const [key] = useDebouncedValue(JSON.stringify(asked), 180);
  useEffect(() => {
    let gone = false;
    const draw = async () => {
      // The lettering is large and only needed here.
      const { drawLine } = await import("./line-thread");
      if (gone || !canvas.current) return;
      try {
        const size = await drawLine(canvas.current, JSON.parse(key) as LinePictureAsked);
        if (!gone)
          setWords(
            size
              ? `${sizeWords(size.widthMm, size.heightMm, lengthUnit)} · ${size.stitches.toLocaleString()} stitches`
              : "",
          );
      } catch (reason) {
        if (!gone) setWords(reason instanceof Error ? reason.message : String(reason));
      }
    };
    void draw();
    return () => {
      gone = true;
    };
  }, [key, lengthUnit]);
  return (
    <figure className="line-figure">
      <canvas
        ref={canvas}
        width={480}
        height={400}
        className="line-canvas"
        role="img"
        aria-label={`Preview${asked.text ? ` with “${asked.text}”` : ""}: ${words}`}
      />
      <figcaption className="quiet">{words}</figcaption>
    </figure>
  );
}

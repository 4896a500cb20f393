import { Button } from "@mantine/core";
import { useEffect, useState } from "react";
import { drawRecords } from "../../canvas/engine";
import { fill, rampOf } from "../../canvas/raster";
import { sizeWords } from "../../parts/quantity";
import type { Made } from "./use-making";

const WIDE = 1400;
const PICTURE_HIGH = 720;
const FACE = '"Atkinson Hyperlegible Next Variable", system-ui, sans-serif';

interface ProofAsked {
  readonly made: Made;
  readonly colours: readonly string[];
  readonly cloth: string;
  readonly texts: readonly string[];
  readonly unit: "mm" | "inch";
  readonly threads: readonly string[];
}

/** The drawing for the customer: the words in large plain letters, for the spelling, and the picture under them. */
export function drawProof({ made, colours, cloth, texts, unit, threads }: ProofAsked): HTMLCanvasElement {
  const sheet = document.createElement("canvas");
  const lines = texts.flatMap((text) => text.split("\n")).filter((line) => line.trim() !== "");
  const top = 96 + lines.length * 112;
  sheet.width = WIDE;
  sheet.height = top + PICTURE_HIGH + 150;
  const pen = sheet.getContext("2d")!;
  pen.fillStyle = "#fffdf8";
  pen.fillRect(0, 0, sheet.width, sheet.height);
  pen.fillStyle = "#5d6170";
  pen.textAlign = "center";
  pen.font = `30px ${FACE}`;
  pen.fillText(lines.length > 0 ? "Please check each letter of the spelling" : "Please look it over", WIDE / 2, 62);
  pen.fillStyle = "#262a33";
  lines.forEach((line, at) => {
    pen.font = `700 96px ${FACE}`;
    const wide = pen.measureText(line).width;
    if (wide > WIDE - 120) pen.font = `700 ${Math.floor((96 * (WIDE - 120)) / wide)}px ${FACE}`;
    pen.fillText(line, WIDE / 2, 160 + at * 112);
  });
  const { left, right, bottom, top: up } = made.preview.extentsMm;
  const picture = { width: WIDE - 120, height: PICTURE_HIGH };
  const scale = Math.min((picture.width - 60) / Math.max(1, right - left), (picture.height - 60) / Math.max(1, up - bottom));
  const image = new ImageData(picture.width, picture.height);
  const drawn = { ...picture, pixels: new Uint32Array(image.data.buffer) };
  fill(drawn, cloth);
  drawRecords(
    drawn,
    made.stitches,
    colours.map(rampOf),
    { widthPx: picture.width, heightPx: picture.height, scale, xMm: (left + right) / 2, yMm: (bottom + up) / 2 },
    { colours, cloth, threadMm: 0.4, showJumps: false, onlyPart: null, upTo: made.stitches.count },
    0,
    made.stitches.count,
  );
  pen.putImageData(image, 60, top);
  pen.fillStyle = "#262a33";
  pen.font = `34px ${FACE}`;
  pen.fillText(`${sizeWords(right - left, up - bottom, unit)} when sewn`, WIDE / 2, top + PICTURE_HIGH + 56);
  pen.fillStyle = "#5d6170";
  pen.font = `26px ${FACE}`;
  pen.fillText(threads.join("   ·   "), WIDE / 2, top + PICTURE_HIGH + 104, WIDE - 120);
  return sheet;
} // prettier-ignore

/** The proof in the page, to save as a picture or to print. */
export function ProofSheet({ asked, name, onClose }: { readonly asked: ProofAsked; readonly name: string; readonly onClose: () => void }) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    let made: string | null = null;
    let ended = false;
    drawProof(asked).toBlob((blob) => {
      if (!blob || ended) return;
      made = URL.createObjectURL(blob);
      setAddress(made);
    }, "image/png");
    return () => {
      ended = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [asked]);
  const words = asked.texts.join(", ");
  return (
    <section className="making-proof sheet" aria-label="Proof for the customer">
      <header>
        <h2>Proof for the customer</h2>
        <Button size="md" component="a" href={address ?? "#"} download={`${name || "proof"}.png`} disabled={!address}>
          Save as a picture
        </Button>
        <Button size="md" variant="default" disabled={!address} onClick={() => window.print()}>
          Print
        </Button>
        <Button size="md" variant="subtle" onClick={onClose}>
          Put away
        </Button>
      </header>
      {address && <img src={address} alt={`Proof: ${words || "the design"} as it will be sewn`} />}
    </section>
  );
} // prettier-ignore

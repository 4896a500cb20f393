import QRCode from "qrcode";
import { useMemo } from "react";

/** The quiet zone round the code, modules (ISO/IEC 18004). */
const QUIET = 4;

/** A text as QR code (ISO/IEC 18004, level M), dark on white in every colouring: readers want it so. */
export function QrCode({ text, label }: { readonly text: string; readonly label: string }) {
  const { size, path } = useMemo(() => {
    const { modules } = QRCode.create(text, { errorCorrectionLevel: "M" });
    let drawn = "";
    for (let row = 0; row < modules.size; row++)
      for (let column = 0; column < modules.size; column++)
        if (modules.get(row, column)) drawn += `M${column + QUIET} ${row + QUIET}h1v1h-1z`;
    return { size: modules.size + 2 * QUIET, path: drawn };
  }, [text]);
  return (
    <svg
      className="qr-code"
      viewBox={`0 0 ${size} ${size}`}
      role="img"
      aria-label={label}
      shapeRendering="crispEdges"
    >
      {" "}
      {/* prettier-ignore */}
      <rect width={size} height={size} fill="#fff" />
      <path d={path} fill="#000" />
    </svg>
  );
}

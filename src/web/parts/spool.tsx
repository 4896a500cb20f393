import { isLightThread, type ThreadFace } from "./thread-chip";
import "./spool.css";

const heights = { small: 34, medium: 52, large: 76 } as const;

/** A spool without words, wound with the thread; empty where there is none. Only inside something that names the thread. */
export function SpoolDrawing({
  rgb,
  size = "medium",
}: {
  readonly rgb: string | null;
  readonly size?: keyof typeof heights;
}) {
  const light = rgb !== null && isLightThread(rgb);
  const twist = light ? "rgb(60 50 30 / 30%)" : "rgb(255 255 255 / 38%)";
  const height = heights[size];
  return (
    <svg
      className="spool-drawing"
      viewBox="0 0 44 76"
      height={height}
      width={(height * 44) / 76}
      aria-hidden
      focusable="false"
    >
      <rect x="15" y="9" width="14" height="58" rx="2" className="spool-core" />
      {rgb !== null && (
        <>
          <rect x="5" y="11" width="34" height="54" rx="7" fill={rgb} />
          {[14, 21, 28, 35, 42, 49, 56, 63].map((y) => (
            // Each turn of the winding leans a little, as thread lies on a spool.
            <path
              key={y}
              d={`M5.5 ${y} Q22 ${y - 1} 38.5 ${y - 5}`}
              stroke={twist}
              strokeWidth="1.8"
              fill="none"
            />
          ))}
          <rect x="5" y="11" width="9" height="54" rx="5" fill="rgb(255 255 255 / 14%)" />
          <rect x="31" y="11" width="8" height="54" rx="5" fill="rgb(0 0 0 / 14%)" />
          <rect
            x="5"
            y="11"
            width="34"
            height="54"
            rx="7"
            className={light ? "spool-edge spool-edge-light" : "spool-edge"}
          />
        </>
      )}
      <rect x="2" y="3" width="40" height="8" rx="3" className="spool-end" />
      <rect x="2" y="65" width="40" height="8" rx="3" className="spool-end" />
    </svg>
  );
}

/** A spool with the thread's code and name under it; never the colour alone. */
export function Spool({
  thread,
  size = "medium",
}: {
  readonly thread: ThreadFace | null | undefined;
  readonly size?: keyof typeof heights;
}) {
  return (
    <span className={`spool spool-${size}`}>
      <SpoolDrawing rgb={thread?.rgb ?? null} size={size} />
      {thread ? (
        <>
          <b className="spool-code">{thread.code}</b>
          <span className="spool-name">{thread.name}</span>
        </>
      ) : (
        <span className="spool-name">empty</span>
      )}
    </span>
  );
}

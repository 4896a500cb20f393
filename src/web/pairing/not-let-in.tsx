import { useNotLetIn } from "../let-in";
import "./pairing.css";

/** Says over the page that stands open that its device is not let in (any more), and what becomes of what was told. */
export function NotLetIn() {
  const problem = useNotLetIn();
  if (!problem) return null;
  const here = location.pathname + location.search;
  return (
    <div role="alert" className="not-let-in">
      <p>
        <strong>
          {problem.code === "device-turned-out"
            ? "This tablet is no longer let in; ask at the computer."
            : "This tablet is not let in; ask at the computer."}
        </strong>{" "}
        What was told at a station and has not been sent is kept here, and goes out once it is let in again.
      </p>
      <a href={`/pair?to=${encodeURIComponent(here)}`}>Type a code</a>
    </div>
  );
}

/** What is told by a pattern, not by a colour alone: once on the page, named by its id. */
export function Patterns() {
  return (
    <svg width="0" height="0" aria-hidden style={{ position: "absolute" }}>
      <defs>
        <Stripes id="waits" ground="var(--sw-caution)" line="var(--sw-caution-ink)" turn={45} />
        <Stripes id="packs" ground="var(--sw-done-soft)" line="var(--sw-done)" turn={90} />
        <Stripes id="cares" ground="var(--sw-paper)" line="var(--sw-done)" turn={-45} />
        <pattern id="down" width="8" height="8" patternUnits="userSpaceOnUse">
          <rect width="8" height="8" fill="var(--sw-paper)" />
          <circle cx="4" cy="4" r="1.6" fill="var(--sw-late)" />
        </pattern>
      </defs>
    </svg>
  );
}

const Stripes = ({
  id,
  ground,
  line,
  turn,
}: {
  readonly id: string;
  readonly ground: string;
  readonly line: string;
  /** Degrees. */
  readonly turn: number;
}) => (
  <pattern id={id} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform={`rotate(${turn})`}>
    <rect width="6" height="6" fill={ground} />
    <rect width="2" height="6" fill={line} />
  </pattern>
);

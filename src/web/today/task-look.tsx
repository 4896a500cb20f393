import type { BoardTask } from "#drawing";

/** What a person does, as one word and one sign; the colours are in board.css under .do-…. */
export const taskWords: Record<BoardTask["do"], string> = {
  hoop: "hoop",
  thread: "thread",
  load: "load",
  unload: "take off",
  unhoop: "unhoop",
  finish: "finish",
  chore: "other work",
};

export const taskKinds: readonly BoardTask["do"][] = [
  "thread",
  "hoop",
  "load",
  "unload",
  "unhoop",
  "finish",
  "chore",
];

const signs: Record<BoardTask["do"], React.ReactNode> = {
  // A needle with its eye.
  thread: <path d="M7 1.5v11M7 12.5 6 9V3.2a1 1 0 0 1 2 0V9z" />,
  hoop: <ellipse cx="7" cy="7" rx="5.2" ry="4.2" />,
  load: <path d="M7 1.5v7M4 6l3 3 3-3M2 12.5h10" />,
  unload: <path d="M7 9V2M4 4.8 7 1.8l3 3M2 12.5h10" />,
  unhoop: <path d="M11.8 5.4A5.2 4.2 0 1 0 12 8M9.4 2.2l2.6 3 1.2-3.4" />,
  finish: <path d="M2.2 7.6 5.4 11l6.4-8" />,
  chore: <path d="M3 3h8v8H3z" />,
};

export function TaskSign({ kind }: { readonly kind: BoardTask["do"] }) {
  return (
    <svg
      className="task-sign"
      viewBox="0 0 14 14"
      width="14"
      height="14"
      aria-hidden
      focusable="false"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.6"
      strokeLinecap="round"
      strokeLinejoin="round"
    >
      {signs[kind]}
    </svg>
  );
}

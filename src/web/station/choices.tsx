import { Modal } from "@mantine/core";
import type { ReactNode } from "react";
import { instantOf, localTime } from "#core/shop";
import { OPEN_END_MS } from "./sentences";
import "./choices.css";

/** A sheet of large buttons over the page: a question and its answers. */
export function ChoiceSheet({
  title,
  children,
  onClose,
}: {
  readonly title: string;
  readonly children: ReactNode;
  readonly onClose: () => void;
}) {
  return (
    <Modal
      opened
      onClose={onClose}
      title={title}
      size={720}
      centered
      closeButtonProps={{ size: "xl", "aria-label": "Close" }}
      classNames={{ title: "choice-title" }}
      transitionProps={{ duration: 0 }}
    >
      <div className="choice-sheet">{children}</div>
    </Modal>
  );
}

export function Choice({
  children,
  onChoose,
  tone = "plain",
}: {
  readonly children: ReactNode;
  readonly onChoose: () => void;
  readonly tone?: "plain" | "go" | "late" | "chosen";
}) {
  return (
    <button
      type="button"
      className={`choice choice-${tone}`}
      aria-pressed={tone === "chosen" ? true : undefined}
      onClick={onChoose}
    >
      {children}
    </button>
  );
}

/** The last minute of a day: "the rest of the day" ends there. */
export const LAST_MINUTE = 24 * 60 - 1;

/** Until when something is away: half an hour, an hour, the rest of the day, or until somebody says so. */
export function untilChoices(
  timeZone: string,
  nowMs: number,
): readonly { readonly words: string; readonly untilMs: number }[] {
  const minute = 60_000;
  const { date } = localTime(timeZone, nowMs);
  const eveningMs = instantOf(timeZone, date, LAST_MINUTE);
  return [
    { words: "30 minutes", untilMs: nowMs + 30 * minute },
    { words: "1 hour", untilMs: nowMs + 60 * minute },
    { words: "The rest of the day", untilMs: eveningMs },
    { words: "Nobody knows", untilMs: nowMs + OPEN_END_MS },
  ];
}

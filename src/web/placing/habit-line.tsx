import type { Answer } from "#contract";
import { useAnswer } from "../asking";
import "./habit-line.css";

type Group = Answer<"placingHabits">["groups"][number];

/** The plain habit of a person in a hoop: with this very product where that is plain, else whatever they hoop in it. */
export function habitOf(
  groups: readonly Group[],
  asked: { readonly personId: string | null; readonly hoopId: string | null; readonly productId?: string },
): Group | null {
  const plain = groups.filter(
    (group) => group.plain.length > 0 && group.personId === asked.personId && group.hoopId === asked.hoopId,
  );
  return (
    plain.find((group) => group.productId !== null && group.productId === asked.productId) ??
    plain.find((group) => group.productId === null) ??
    null
  );
}

/** One sentence where pieces are hooped and placed; nothing where no habit is plain. */
export function HabitLine({
  hoopName,
  ...asked
}: Parameters<typeof habitOf>[1] & { readonly hoopName: string }) {
  const habits = useAnswer("placing", "placingHabits", {}, { enabled: asked.personId !== null });
  const habit = asked.personId === null ? null : habitOf(habits.data?.groups ?? [], asked);
  if (!habit) return null;
  const pieces = Math.max(...habit.plain.map((one) => one.count));
  return (
    <p className="habit-line">
      <b>{habit.plain.map((one) => one.short).join(", ")}</b> on {hoopName}; {pieces} pieces. Mind it when you
      hoop.
    </p>
  );
}

import { useAnswer } from "../../asking";
import { useAll } from "../../parts/all-of";
import { TroubleSheet, Waiting } from "../../parts/states";

/** How pieces come to lie in their hoops, where it is statistically plain, and what hooping aids are worth. */
export function Habits() {
  const habits = useAnswer("placing", "placingHabits", {});
  const people = useAll("people");
  const hoops = useAll("hoops");
  const products = useAll("products");
  if (habits.isPending) return <Waiting words="Looking through the placings" />;
  if (habits.isError) return <TroubleSheet trouble={habits.error} onAgain={() => void habits.refetch()} />;
  const { placings, groups, aids } = habits.data;
  const nameIn = (
    all: readonly { readonly id: string; readonly name: string }[] | undefined,
    id: string | null,
  ) => (id === null ? null : all?.find((one) => one.id === id)?.name);
  const plain = groups.filter((group) => group.plain.length > 0);
  return (
    <section className="sheet teach-sheet" aria-labelledby="teach-habits-title">
      <h2 id="teach-habits-title">Habits</h2>
      {plain.length === 0 ? (
        <p className="quiet">
          {placings === 0
            ? "Nothing is placed yet. Once it is plain that pieces keep lying one way in a hoop, it is said here."
            : `${placings} ${placings === 1 ? "placing" : "placings"} in the last year; no habit is plain among them.`}
        </p>
      ) : (
        <ul className="teach-list">
          {plain.map((group) => (
            <li key={`${group.personId} ${group.productId} ${group.hoopId}`}>
              <b>
                {[
                  nameIn(people.data, group.personId) ?? "nobody named",
                  group.productId === null ? "all products" : nameIn(products.data, group.productId),
                  nameIn(hoops.data, group.hoopId),
                ]
                  .filter(Boolean)
                  .join(" · ")}
              </b>
              {group.plain.map((one) => (
                <span key={one.measure}>
                  {one.sentence} <span className="quiet">from {one.count} placings</span>
                </span>
              ))}
            </li>
          ))}
        </ul>
      )}
      {aids.map((aid) => (
        <p key={aid.aid}>
          With a {aid.aid}: {aid.lessDeg.toFixed(1)}° less crooked ({aid.lowDeg.toFixed(1)} to{" "}
          {aid.highDeg.toFixed(1)}°), from {aid.withAid} placings with it and {aid.without} without.
        </p>
      ))}
    </section>
  );
}

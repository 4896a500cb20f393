import { useState } from "react";
import { useAll } from "../../parts/all-of";
import { ChoiceField, choicesOf } from "../../parts/form";
import type { Making } from "./making";
import { usePlacements } from "./use-placements";

/** What it is for: the placement brings its hoop and cloth; both can be chosen by themselves. */
export function ForPlacement({
  making,
  onSet,
}: {
  readonly making: Making;
  readonly onSet: (change: Partial<Making>) => void;
}) {
  const hoops = useAll("hoops");
  const [where, setWhere] = useState("");
  const places = usePlacements();
  const chosen = places.find((place) => place.key === where);
  return (
    <div className="making-fields">
      <ChoiceField
        label="For a product’s placement"
        value={where}
        choices={[
          { value: "", words: "none in particular" },
          ...places.map(({ key, words }) => ({ value: key, words })),
        ]}
        onChange={(key) => {
          setWhere(key);
          const place = places.find((one) => one.key === key);
          if (place) onSet({ hoopId: place.placement.hoopId, cloth: place.product.cloth });
        }}
      />
      {chosen?.placement.where && <p className="quiet making-note">Mark: {chosen.placement.where}</p>}
      <ChoiceField
        label="Hoop"
        value={making.hoopId ?? ""}
        choices={[
          { value: "", words: "none yet" },
          ...(hoops.data ?? [])
            .filter((one) => !one.archived || one.id === making.hoopId)
            .map((one) => ({
              value: one.id,
              words: `${one.name} · ${one.fieldWidthMm} × ${one.fieldHeightMm} mm`,
            })),
        ]}
        onChange={(id) => onSet({ hoopId: id === "" ? null : id })}
      />
      <ChoiceField
        label="Sewn on"
        hint="underlay and compensation follow the cloth"
        value={making.cloth}
        choices={choicesOf({
          woven: "woven: canvas, linen, cotton",
          knit: "knit: sweatshirt, jersey",
          pile: "pile: towel, fleece",
        })}
        onChange={(to) => onSet({ cloth: to })}
      />
    </div>
  );
}

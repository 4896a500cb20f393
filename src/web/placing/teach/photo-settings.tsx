import { Button } from "@mantine/core";
import { useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { PlainChoice } from "../../parts/form";
import { TroubleSheet, Waiting } from "../../parts/states";

/** Photos of placings: kept small, left out, or deleted for good. */
export function PhotoSettings() {
  const settings = useAnswer("placing", "placingSettings", {});
  const set = useChange("setPlacingSettings", {
    lists: ["placing"],
    done: "Changed what becomes of photos.",
  });
  const remove = useChange("deletePlacingPhotos", {
    lists: ["placing"],
    done: ({ deleted }) => `${deleted} ${deleted === 1 ? "photo" : "photos"} deleted for good.`,
  });
  const [isAsked, setAsked] = useState(false);
  if (settings.isPending) return <Waiting words="Reading the settings" />;
  if (settings.isError)
    return <TroubleSheet trouble={settings.error} onAgain={() => void settings.refetch()} />;
  const { photos, kept, keptBytes } = settings.data;
  return (
    <section className="sheet teach-sheet" aria-labelledby="teach-photos-title">
      <h2 id="teach-photos-title">Photos</h2>
      <p>
        They never leave the studio’s computer. Where, when and with what they were taken is cut out before
        they are kept.
      </p>
      <PlainChoice
        label="Photos of placings are"
        value={photos}
        onChange={(to) => set.mutate({ body: { photos: to } })}
        choices={[
          { value: "kept", words: "kept small", meaning: "1280 px, with their piece" },
          { value: "left-out", words: "left out", meaning: "only the numbers stay" },
        ]}
      />
      <p className="quiet">
        {kept === 0 ? "None is kept now." : `${kept} kept now, ${(keptBytes / 1e6).toFixed(1)} MB.`}
      </p>
      {kept > 0 && (
        <div className="place-acts">
          <Button
            size="md"
            variant="default"
            loading={remove.isPending}
            onClick={() => {
              if (isAsked) remove.mutate({});
              setAsked(!isAsked);
            }}
          >
            {isAsked ? `Yes, delete all ${kept} for good` : "Delete all kept photos"}
          </Button>
          {isAsked && (
            <Button size="md" variant="subtle" onClick={() => setAsked(false)}>
              Keep them
            </Button>
          )}
        </div>
      )}
    </section>
  );
}

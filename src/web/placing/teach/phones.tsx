import type { Answer } from "#contract";
import { Button } from "@mantine/core";
import { useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { TextField } from "../../parts/form";
import { TroubleSheet, Waiting } from "../../parts/states";
import { usePhotoDesk } from "../photo-desk";
import { TroubleNote } from "../trouble-note";
import { asSent, type GridPhoto, GridPhotos } from "./grid-photos";
import type { Printed } from "./page";

type Phone = Answer<"listPhones">["items"][number];

/** Phones that take the photos, and how exactly each lens is known. */
export function Phones({ printed }: { readonly printed: Printed }) {
  const phones = useAnswer("placing", "listPhones", {});
  const [name, setName] = useState("");
  const [measuring, setMeasuring] = useState<string | null>(null);
  const add = useChange("addPhone", { lists: ["placing"], done: (phone) => `${phone.name} added.` });
  const putAway = useChange("changePhone", {
    lists: ["placing"],
    done: (phone) => `${phone.name} is put away.`,
  });
  return (
    <section className="sheet teach-sheet" aria-labelledby="teach-phones-title">
      <h2 id="teach-phones-title">2 · Know this phone</h2>
      <p>
        Every lens bends straight lines a little. Three photos of the grid sheet tell how: one from straight
        above, two slanted from different sides, the sheet filling the picture.
      </p>
      {phones.isPending ? (
        <Waiting words="Reading the phones" />
      ) : phones.isError ? (
        <TroubleSheet trouble={phones.error} onAgain={() => void phones.refetch()} />
      ) : phones.data.items.filter((phone) => !phone.archived).length === 0 ? (
        <p className="quiet">
          No phone is known yet. Placing works without; the error to expect is larger then.
        </p>
      ) : (
        <ul className="teach-list">
          {phones.data.items
            .filter((phone) => !phone.archived)
            .map((phone) => (
              <li key={phone.id}>
                <b>{phone.name}</b>
                <span className="quiet">{lensWords(phone)}</span>
                <Button
                  size="md"
                  variant="default"
                  onClick={() => setMeasuring(measuring === phone.id ? null : phone.id)}
                >
                  {phone.lens ? "Measure it again" : "Measure its lens"}
                </Button>
                <Button
                  size="md"
                  variant="subtle"
                  onClick={() =>
                    putAway.mutate({
                      params: { id: phone.id },
                      version: phone.version,
                      body: { name: phone.name, archived: true },
                    })
                  }
                >
                  Put it away
                </Button>
                {measuring === phone.id && (
                  <MeasureLens phone={phone} printed={printed} onDone={() => setMeasuring(null)} />
                )}
              </li>
            ))}
        </ul>
      )}
      <form
        className="teach-add"
        onSubmit={(event) => {
          event.preventDefault();
          add.mutate(
            { body: { name: name.trim() } },
            {
              onSuccess: ({ value }) => {
                setName("");
                setMeasuring(value.id);
              },
            },
          );
        }}
      >
        <TextField label="A phone’s name" value={name} onChange={setName} placeholder="Workroom phone" />
        <Button size="md" type="submit" disabled={name.trim() === ""} loading={add.isPending}>
          Add this phone
        </Button>
      </form>
    </section>
  );
}

function lensWords({ lens }: Phone): string {
  if (!lens) return "lens not measured yet";
  return `lens measured on ${new Date(lens.atMs).toLocaleDateString()} from ${lens.photos} ${lens.photos === 1 ? "photo" : "photos"}; the grid lies within ${lens.leftPx.toFixed(2)} px of it`;
}

function MeasureLens({
  phone,
  printed,
  onDone,
}: {
  readonly phone: Phone;
  readonly printed: Printed;
  readonly onDone: () => void;
}) {
  const desk = usePhotoDesk();
  const [photos, setPhotos] = useState<readonly GridPhoto[]>([]);
  const measure = useChange("measureLens", {
    lists: ["placing"],
    quiet: true,
    done: (measured) => `The lens of ${measured.name} is known.`,
  });
  return (
    <div className="teach-work">
      <GridPhotos lens={null} desk={desk} photos={photos} onPhotos={setPhotos} words={() => ""} />
      {measure.error && <TroubleNote trouble={measure.error.problem} />}
      {photos.length > 0 && (
        <div className="place-acts">
          <Button
            size="lg"
            loading={measure.isPending}
            onClick={() =>
              measure.mutate(
                { params: { id: phone.id }, body: { printed, photos: photos.map(asSent) } },
                { onSuccess: onDone },
              )
            }
          >
            Measure the lens from {photos.length === 1 ? "this photo" : `these ${photos.length}`}
          </Button>
        </div>
      )}
      {photos.length > 0 && photos.length < 3 && <p className="quiet">Three are surer than one.</p>}
    </div>
  );
}

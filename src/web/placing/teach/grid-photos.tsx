import { type KnownLens, SHEET_FIRST_ID } from "#core/placing";
import { Button } from "@mantine/core";
import { useRef, useState } from "react";
import { Waiting } from "../../parts/states";
import { unique } from "../body";
import type { OpenedPhoto } from "../photo-messages";
import { FileButton } from "../photo-step";
import { TroubleNote } from "../trouble-note";
import { useDeskWork } from "../use-photo";
import type { PhotoDesk } from "../photo-desk";

/** Photos of the grid sheet, each looked through for markers as it comes. */
export interface GridPhoto {
  readonly id: number;
  readonly opened: OpenedPhoto;
}

export const onSheet = ({ opened }: GridPhoto) =>
  unique(opened.markers).filter(({ id }) => id >= SHEET_FIRST_ID);

/** As it travels: size, focal length, every marker that stands once. */
export const asSent = ({ opened }: GridPhoto) => ({
  photo: opened.size,
  focal35Mm: opened.focal35Mm,
  markers: unique(opened.markers).map(({ id, cornersPx }) => ({ id, cornersPx: [...cornersPx] })),
});

export function GridPhotos({
  desk,
  photos,
  onPhotos,
  words,
  lens,
  mayTake = true,
}: {
  readonly desk: PhotoDesk;
  /** The phone's lens, where it is known already. */
  readonly lens: KnownLens | null;
  /** Not while something is still to be done with the last one. */
  readonly mayTake?: boolean;
  readonly photos: readonly GridPhoto[];
  readonly onPhotos: (photos: readonly GridPhoto[]) => void;
  /** What a photo shows, beside the sheet: "3 of 4 markers of the hoop". */
  readonly words: (photo: GridPhoto) => string;
}) {
  const nextId = useRef(1);
  const { doing, trouble, work } = useDeskWork(desk);
  const [last, setLast] = useState("");
  const take = async (file: File) => {
    const opened = await work("open", { file, lens, as: "first" }, "Opening the photo");
    if (!opened) return;
    const photo = { id: nextId.current++, opened };
    const count = onSheet(photo).length;
    setLast(
      count === 0
        ? "No marks of the grid sheet were found in that photo. The whole sheet in sight, the light even, and try again."
        : "",
    );
    if (count > 0) onPhotos([...photos, photo]);
  };
  return (
    <div className="teach-photos">
      {photos.length > 0 && (
        <ol>
          {photos.map((photo, i) => (
            <li key={photo.id}>
              <span>
                Photo {i + 1}: {onSheet(photo).length} marks of the sheet{words(photo) && `, ${words(photo)}`}
              </span>
              <Button
                size="md"
                variant="subtle"
                onClick={() => onPhotos(photos.filter((one) => one.id !== photo.id))}
              >
                Take photo {i + 1} away
              </Button>
            </li>
          ))}
        </ol>
      )}
      {doing && <Waiting words={doing} />}
      {trouble && <TroubleNote trouble={trouble} />}
      {last && (
        <p className="caution" role="alert">
          {last}
        </p>
      )}
      {!doing && mayTake && photos.length < 12 && (
        <div className="place-acts">
          <FileButton look="default" capture onFile={take}>
            {photos.length === 0 ? "Take a photo of the sheet" : "Take another"}
          </FileButton>
          <FileButton look="default" onFile={take}>
            Choose a photo
          </FileButton>
        </div>
      )}
    </div>
  );
}

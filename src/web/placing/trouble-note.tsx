import { Button } from "@mantine/core";
import type { PhotoTrouble } from "./photo-messages";

/** What went wrong with the photo or the marks, beside the work, which stays as it was. */
export function TroubleNote({
  trouble,
  onAgain,
}: {
  readonly trouble: Pick<PhotoTrouble, "title" | "detail" | "advice">;
  readonly onAgain?: () => void;
}) {
  return (
    <div className="place-trouble" role="alert">
      <b>{trouble.title}</b>
      <p>{trouble.detail}</p>
      <p>{trouble.advice}</p>
      {onAgain && (
        <Button size="md" variant="default" onClick={onAgain}>
          Try again
        </Button>
      )}
    </div>
  );
}

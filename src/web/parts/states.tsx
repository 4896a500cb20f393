import { Button, Loader } from "@mantine/core";
import type { ReactNode } from "react";
import type { Trouble } from "../client";
import "./states.css";

/** While something is on its way. */
export function Waiting({ words }: { readonly words: string }) {
  return (
    <div className="state" role="status">
      <Loader color="gray" type="dots" aria-hidden />
      <p>{words} …</p>
    </div>
  );
}

/** What happened, what is kept, what to do. */
export function TroubleSheet({
  trouble,
  onAgain,
}: {
  readonly trouble: Trouble;
  readonly onAgain?: () => void;
}) {
  const { title, detail, advice, reference } = trouble.problem;
  return (
    <div className="state sheet" role="alert">
      <h2>{title}</h2>
      <p>{detail}</p>
      <p>{advice}</p>
      {reference && <p className="quiet">Reference {reference}</p>}
      {onAgain && (
        <Button size="md" onClick={onAgain}>
          Try again
        </Button>
      )}
    </div>
  );
}

/** An empty page teaches: what it is for, one button to begin. */
export function Empty({
  title,
  children,
  action,
  picture,
}: {
  readonly title: string;
  readonly children: ReactNode;
  readonly action?: ReactNode;
  readonly picture?: ReactNode;
}) {
  return (
    <div className="state sheet">
      {picture}
      <h2>{title}</h2>
      <div className="state-words">{children}</div>
      {action}
    </div>
  );
}

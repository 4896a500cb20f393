import type { ErrorComponentProps } from "@tanstack/react-router";
import { useState } from "react";
import { ask, Trouble } from "../client";
import { TroubleSheet } from "./states";

/** A page that could not be fetched from the program; "Try again" waits until the program answers. */
export class PageMissing extends Error {}

const missing = new Trouble({
  type: "about:blank",
  title: "This page could not be fetched",
  status: 503,
  detail: "The program did not answer, or has been renewed since this window was opened. Nothing is lost.",
  code: "page-missing",
  advice: "Check that the program is running on the shop's computer, then try again.",
});

const broken = (error: unknown) =>
  new Trouble({
    type: "about:blank",
    title: "This page could not be shown",
    status: 500,
    detail: `An error of the program: ${error instanceof Error ? error.message : String(error)}. What is kept is not touched.`,
    code: "page-broken",
    advice: "Try again, or go on with another page.",
  });

/** Stands in a page's place when it cannot be shown; the ways to the other pages stay. */
export function PageTrouble({ error }: ErrorComponentProps) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const again = async () => {
    try {
      await ask("status", {});
      window.location.reload();
    } catch (reason) {
      // Still no answer: a reload now would lose the window itself.
      setTrouble(reason instanceof Trouble ? reason : missing);
    }
  };
  return (
    <>
      <h1 className="visually-hidden">This page could not be shown</h1>
      <TroubleSheet
        trouble={trouble ?? (error instanceof PageMissing ? missing : broken(error))}
        onAgain={() => void again()}
      />
    </>
  );
}

import { useAnswer } from "../asking";
import { useListAddress } from "../parts/list-address";
import { Leaves, PageHead } from "../parts/page-head";
import { TroubleSheet, Waiting } from "../parts/states";
import { Changes } from "./changes";
import { Devices } from "./devices";
import { LearnedTimes } from "./learned";
import { WhatNext } from "./what-next";
import { People } from "./people";
import { HoursForm, PlaceForm, PrioritiesForm, TimesForm } from "./studio-forms";
import "./studio.css";

const leaves = [
  { word: "", title: "Place" },
  { word: "hours", title: "Hours" },
  { word: "people", title: "People" },
  { word: "times", title: "Step times" },
  { word: "learned", title: "Learned times" },
  { word: "priorities", title: "Priorities" },
  { word: "devices", title: "Tablets and phones" },
  { word: "changes", title: "Recent changes" },
] as const;

/** The studio itself: where and when it works, who works in it, how long steps take, what matters most. */
export function StudioPage() {
  const leaf = useListAddress().word("leaf");
  const at = leaves.some(({ word }) => word === leaf) ? leaf : "";
  const studio = useAnswer("studio", "readStudio", {});
  const record = studio.data;
  const forms: Readonly<Record<string, React.ReactNode>> = record
    ? {
        "": <PlaceForm studio={record} />,
        hours: <HoursForm studio={record} />,
        times: <TimesForm studio={record} />,
        priorities: <PrioritiesForm studio={record} />,
      }
    : {};
  return (
    <>
      <PageHead
        title="Studio"
        lead="Where and when you work, who works, how long steps take, and what matters most to the plan."
        leaves={<Leaves label="Parts of the studio" leaves={leaves} />}
      />
      <WhatNext />
      {at === "people" ? (
        <People />
      ) : at === "learned" ? (
        <LearnedTimes />
      ) : at === "devices" ? (
        <Devices />
      ) : at === "changes" ? (
        <Changes />
      ) : record ? (
        <div key={at}>{forms[at]}</div>
      ) : studio.isError ? (
        <TroubleSheet trouble={studio.error} onAgain={() => void studio.refetch()} />
      ) : (
        <Waiting words="Fetching the studio" />
      )}
    </>
  );
}

import { Leaves, PageHead } from "../parts/page-head";
import { useListAddress } from "../parts/list-address";
import { CareLeaf } from "./care/page";
import { HoopList } from "./hoops";
import { PlacingLeaf } from "../placing/teach/page";
import { MachineList } from "./machines";

const leaves = [
  { word: "", title: "Machines" },
  { word: "hoops", title: "Hoops" },
  { word: "placing", title: "Placing" },
  { word: "care", title: "Care" },
] as const;

/** The machines as they stand in the room, and the hoops they share. */
export function MachinesPage() {
  const leaf = useListAddress().word("leaf");
  const at = leaf === "hoops" || leaf === "care" || leaf === "placing" ? leaf : "";
  return (
    <>
      <PageHead
        title="Machines"
        lead="What stands in the room, which thread is on which needle, and the hoops to feed it."
        leaves={<Leaves label="Machines, hoops, placing and care" leaves={leaves} />}
      />
      {at === "hoops" ? (
        <HoopList key="hoops" />
      ) : at === "placing" ? (
        <PlacingLeaf />
      ) : at === "care" ? (
        <CareLeaf />
      ) : (
        <MachineList key="machines" />
      )}
    </>
  );
}

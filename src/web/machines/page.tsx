import { Leaves, PageHead } from "../parts/page-head";
import { useListAddress } from "../parts/list-address";
import { HoopList } from "./hoops";
import { MachineList } from "./machines";

const leaves = [
  { word: "", title: "Machines" },
  { word: "hoops", title: "Hoops" },
] as const;

/** The machines as they stand in the room, and the hoops they share. */
export function MachinesPage() {
  const leaf = useListAddress().word("leaf");
  const at = leaf === "hoops" ? leaf : "";
  return (
    <>
      <PageHead
        title="Machines"
        lead="What stands in the room, which thread is on which needle, and the hoops to feed it."
        leaves={<Leaves label="Machines and hoops" leaves={leaves} />}
      />
      {at === "hoops" ? <HoopList key="hoops" /> : <MachineList key="machines" />}
    </>
  );
}

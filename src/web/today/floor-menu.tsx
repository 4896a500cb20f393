import { Button, Menu } from "@mantine/core";
import { useState } from "react";
import { saveFile } from "../parts/save-file";
import type { Day } from "./day";
import "./floor-menu.css";

/** What the floor needs of the plan: paper for the bench, files for the machines, a table for whoever asks. */
export function FloorMenu({ day }: { readonly day: Day }) {
  const [fetching, setFetching] = useState(false);
  const take = async (...what: Parameters<typeof saveFile>) => {
    setFetching(true);
    await saveFile(...what);
    setFetching(false);
  };
  const machines = day.board.machines.flatMap((lane) => {
    const machine = day.machines.get(lane.machineId);
    return machine && machine.needles > 0 && lane.blocks.length > 0 ? [machine] : [];
  });
  const paper = [
    { name: "tickets", words: "Job tickets" },
    { name: "threadingList", words: "Threading list" },
    { name: "pickList", words: "Pick list" },
  ] as const;
  return (
    <Menu position="bottom-end" width={280} withInitialFocusPlaceholder={false}>
      <Menu.Target>
        <Button size="md" variant="default" loading={fetching} className="floor-button">
          Take to the floor …
        </Button>
      </Menu.Target>
      <Menu.Dropdown>
        {paper.map(({ name, words }) => (
          <Menu.Item
            key={name}
            className="floor-item"
            rightSection={<span className="quiet">PDF</span>}
            onClick={() => void take(name)}
          >
            {words}
          </Menu.Item>
        ))}
        {machines.length > 0 && (
          <div role="group" aria-label="Machine files in running order">
            <Menu.Label aria-hidden>Machine files in running order</Menu.Label>
            {machines.map((machine) => (
              <Menu.Item
                key={machine.id}
                className="floor-item"
                rightSection={<span className="quiet">zip</span>}
                onClick={() => void take("machineDay", {}, { machine: machine.id })}
              >
                {machine.name}
              </Menu.Item>
            ))}
          </div>
        )}
        <Menu.Divider />
        <Menu.Item
          className="floor-item"
          rightSection={<span className="quiet">CSV</span>}
          onClick={() => void take("tableFile", { table: "plan" })}
        >
          The plan as a table
        </Menu.Item>
      </Menu.Dropdown>
    </Menu>
  );
}

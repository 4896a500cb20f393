import { Button, Menu } from "@mantine/core";
import { useNavigate } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer } from "../asking";

/** The way from Today to the pages of the floor: a station a machine, a page a pair of hands. */
export function StationsMenu() {
  const [opened, setOpened] = useState(false);
  const machines = useAnswer("machines", "machines.list", {}, { enabled: opened });
  const people = useAnswer("people", "people.list", {}, { enabled: opened });
  const navigate = useNavigate();
  return (
    <Menu
      opened={opened}
      onChange={setOpened}
      position="bottom-end"
      width={240}
      withInitialFocusPlaceholder={false}
    >
      <Menu.Target>
        <Button size="md" variant="default">
          Stations …
        </Button>
      </Menu.Target>
      <Menu.Dropdown>
        <div role="group" aria-label="At a machine">
          <Menu.Label aria-hidden>At a machine</Menu.Label>
          {(machines.data?.items ?? [])
            .filter((machine) => !machine.archived)
            .map(({ id, name }) => (
              <Menu.Item
                key={id}
                className="shell-menu-item"
                onClick={() => void navigate({ to: "/station/$id", params: { id } })}
              >
                {name}
              </Menu.Item>
            ))}
        </div>
        <div role="group" aria-label="With these hands">
          <Menu.Label aria-hidden>With these hands</Menu.Label>
          {(people.data?.items ?? [])
            .filter((person) => !person.archived)
            .map(({ id, name }) => (
              <Menu.Item
                key={id}
                className="shell-menu-item"
                onClick={() => void navigate({ to: "/hands/$id", params: { id } })}
              >
                {name}
              </Menu.Item>
            ))}
        </div>
      </Menu.Dropdown>
    </Menu>
  );
}

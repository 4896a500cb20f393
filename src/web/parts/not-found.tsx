import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { Empty } from "./states";

export function NotFound() {
  return (
    <>
      <h1 className="visually-hidden">No such page</h1>
      <Empty
        title="There is no such page"
        action={
          <Button component={Link} to="/" size="md">
            Go to Today
          </Button>
        }
      >
        <p>The address may be mistyped, or from another studio.</p>
      </Empty>
    </>
  );
}

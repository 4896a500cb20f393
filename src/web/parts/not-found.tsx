import { Link } from "@tanstack/react-router";
import { Empty } from "./states";

export function NotFound() {
  return (
    <>
      <h1 className="visually-hidden">No such page</h1>
      <Empty title="There is no such page" action={<Link to="/">Go to Today</Link>}>
        <p>The address may be mistyped, or from another studio.</p>
      </Empty>
    </>
  );
}

import type { shapes } from "#contract";

export function StartPage({ status }: { readonly status: shapes.Status }) {
  return <main>{status.state}</main>;
}

import { Button, useMantineColorScheme } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { Link, Outlet } from "@tanstack/react-router";
import { useEffect, useState } from "react";
import { useAnswer } from "./asking";
import { listen } from "./live";
import { Notices } from "./parts/notices";
import { Waiting, TroubleSheet } from "./parts/states";
import { StartPage } from "./start/page";
import "./shell.css";

const pages = [
  { to: "/", words: "Today" },
  { to: "/orders", words: "Orders" },
  { to: "/designs", words: "Designs" },
  { to: "/threads", words: "Threads & stock" },
  { to: "/machines", words: "Machines" },
  { to: "/products", words: "Products" },
  { to: "/studio", words: "Studio" },
] as const;

function EveningLight() {
  const { colorScheme, setColorScheme } = useMantineColorScheme();
  const dark = colorScheme === "dark" || (colorScheme === "auto" && window.matchMedia("(prefers-color-scheme: dark)").matches);
  return (
    <Button variant="subtle" color="gray" className="shell-light" onClick={() => setColorScheme(dark ? "light" : "dark")} aria-label={dark ? "Switch to daylight colours" : "Switch to evening colours"}>
      {dark ? "Daylight" : "Evening"}
    </Button>
  );
}

/** The frame of every page: the studio's name, the way to each page, what was done and what went wrong. */
export function Shell() {
  const queries = useQueryClient();
  const [connected, setConnected] = useState(true);
  useEffect(() => listen(queries, setConnected), [queries]);
  const status = useAnswer("status", "status", {});
  if (status.isPending) return <Waiting words="Opening the studio" />;
  if (status.isError) return <TroubleSheet trouble={status.error} onAgain={() => void status.refetch()} />;
  if (status.data.state !== "ready")
    return (
      <>
        <StartPage status={status.data} />
        <Notices />
      </>
    );
  return (
    <div className="shell">
      <a className="skip-link" href="#main">
        Skip to the page
      </a>
      <header className="shell-head">
        <span className="shell-name">{status.data.studioName}</span>
        {status.data.demo && <span className="shell-demo">demo studio</span>}
        <nav aria-label="Pages" className="shell-pages">
          {pages.map(({ to, words }) => (
            <Link key={to} to={to} activeOptions={{ exact: to === "/" }} className="shell-page" activeProps={{ "aria-current": "page" }}>
              {words}
            </Link>
          ))}
        </nav>
        <EveningLight />
      </header>
      {!connected && (
        <p role="alert" className="shell-lost">
          The program does not answer. What you see may be old; what you typed is kept. Trying again …
        </p>
      )}
      <main id="main" className="shell-main" tabIndex={-1}>
        <Outlet />
      </main>
      <Notices />
    </div>
  );
}

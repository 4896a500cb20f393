import { Button, Menu, useMantineColorScheme } from "@mantine/core";
import { useMediaQuery } from "@mantine/hooks";
import { useQueryClient } from "@tanstack/react-query";
import { Link, Outlet, useLocation, useNavigate } from "@tanstack/react-router";
import { type ReactNode, useEffect, useState } from "react";
import { useAnswer } from "./asking";
import { useNotLetIn } from "./let-in";
import { listen } from "./live";
import { Notices } from "./parts/notices";
import { Waiting, TroubleSheet } from "./parts/states";
import { StartPage } from "./start/page";
import { usePlanFollows } from "./today/plan-follows";
import "./shell.css";

/** The pages by the trade's words; those a phone keeps at its foot have a drawing of their own. */
const pages: readonly { readonly to: string; readonly words: string; readonly drawing?: ReactNode }[] = [
  { to: "/", words: "Today", drawing: <path d="M3 7h9M3 12h14M3 17h6M15.5 4v16" /> },
  { to: "/orders", words: "Orders", drawing: <path d="M5 4h14v16l-3-2-2 2-2-2-2 2-2-2-3 2zM9 9h6M9 13h6" /> },
  {
    to: "/designs",
    words: "Designs",
    drawing: <path d="M20 4 10 14M20 4l-1 4M10 14c-5-2-7 3-3 5s8 1 12-2" />,
  },
  { to: "/threads", words: "Threads & stock" },
  { to: "/machines", words: "Machines", drawing: <path d="M4 20h16M6 20V5h12v6h-4V9h-3v11M16 11v5" /> },
  { to: "/costs", words: "Costs" },
  { to: "/history", words: "History" },
  { to: "/what-if", words: "What if" },
  { to: "/products", words: "Products" },
  { to: "/studio", words: "Studio" },
];

function useEvening() {
  const { colorScheme, setColorScheme } = useMantineColorScheme();
  const systemDark = useMediaQuery("(prefers-color-scheme: dark)");
  const dark = colorScheme === "dark" || (colorScheme === "auto" && systemDark === true);
  return { dark, turn: () => setColorScheme(dark ? "light" : "dark") };
}

function EveningLight() {
  const { dark, turn } = useEvening();
  return (
    <Button
      variant="subtle"
      color="gray"
      size="md"
      className="shell-light"
      onClick={turn}
      aria-label={dark ? "Daylight colours" : "Evening colours"}
    >
      {dark ? "Daylight" : "Evening"}
    </Button>
  );
}

function PageLink({
  to,
  children,
  className,
}: {
  readonly to: string;
  readonly children: ReactNode;
  readonly className: string;
}) {
  return (
    <Link
      to={to as "/"}
      activeOptions={{ exact: to === "/", includeSearch: false }}
      className={className}
      activeProps={{ "aria-current": "page" }}
    >
      {children}
    </Link>
  );
}

function TopPages() {
  return (
    <nav aria-label="Pages" className="shell-pages">
      {pages.map(({ to, words }) => (
        <PageLink key={to} to={to} className="shell-page">
          {words}
        </PageLink>
      ))}
    </nav>
  );
}

/** On a phone: four pages at the foot, the others one press further. */
function FootPages() {
  const { pathname } = useLocation();
  const navigate = useNavigate();
  const { dark, turn } = useEvening();
  const further = pages.filter((page) => !page.drawing);
  const here = further.find((page) => pathname.startsWith(page.to));
  return (
    <nav aria-label="Pages" className="shell-foot">
      {pages
        .filter((page) => page.drawing)
        .map(({ to, words, drawing }) => (
          <PageLink key={to} to={to} className="shell-foot-page">
            <Drawing>{drawing}</Drawing>
            {words}
          </PageLink>
        ))}
      <Menu position="top-end" offset={8} width={220} withInitialFocusPlaceholder={false}>
        <Menu.Target>
          <button
            type="button"
            className="shell-foot-page"
            aria-current={here ? "page" : undefined}
            aria-label={here ? `More pages; now at ${here.words}` : "More pages"}
          >
            <Drawing>
              <path d="M5 7h14M5 12h14M5 17h14" />
            </Drawing>
            More
          </button>
        </Menu.Target>
        <Menu.Dropdown>
          {further.map(({ to, words }) => (
            <Menu.Item
              key={to}
              className="shell-menu-item"
              aria-current={here?.to === to ? "page" : undefined}
              onClick={() => void navigate({ to: to as "/" })}
            >
              {words}
            </Menu.Item>
          ))}
          <Menu.Divider />
          <Menu.Item className="shell-menu-item" onClick={turn}>
            {dark ? "Daylight colours" : "Evening colours"}
          </Menu.Item>
        </Menu.Dropdown>
      </Menu>
    </nav>
  );
}

const Drawing = ({ children }: { readonly children: ReactNode }) => (
  <svg
    viewBox="0 0 24 24"
    width="24"
    height="24"
    fill="none"
    stroke="currentcolor"
    strokeWidth="1.8"
    strokeLinecap="round"
    strokeLinejoin="round"
    aria-hidden
  >
    {children}
  </svg>
);

/** The frame of every page: the studio's name, the way to each page, what was done and what went wrong. */
export function Shell() {
  const queries = useQueryClient();
  const [connected, setConnected] = useState(true);
  useEffect(() => listen(queries, setConnected), [queries]);
  const notLetIn = useNotLetIn();
  usePlanFollows();
  const onPhone = useMediaQuery("(max-width: 47.99em)", window.matchMedia("(max-width: 47.99em)").matches, {
    getInitialValueInEffect: false,
  });
  const status = useAnswer("status", "status", {});
  if (status.isPending) return <Waiting words="Opening the studio" />;
  // A page that stands open stays open while the program does not answer: what is typed in it must not be lost.
  if (!status.data) return <TroubleSheet trouble={status.error!} onAgain={() => void status.refetch()} />;
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
        <span className="shell-name">
          <StitchedMark />
          {status.data.studioName}
        </span>
        {status.data.demo && <span className="shell-demo">demo studio</span>}
        {!onPhone && (
          <div className="shell-ways">
            <TopPages />
            <EveningLight />
          </div>
        )}
      </header>
      {!connected && !notLetIn && (
        <p role="alert" className="shell-lost">
          The program does not answer. What you see may be old; what you typed is kept. Trying again …
        </p>
      )}
      <main id="main" className="shell-main" tabIndex={-1}>
        <Outlet />
      </main>
      {onPhone && <FootPages />}
      <Notices />
    </div>
  );
}

/** Three stitches in a row: the sign before the studio's name. */
const StitchedMark = () => (
  <svg viewBox="0 0 30 12" width="30" height="12" className="shell-mark" aria-hidden>
    <path d="M2 7.5 8 5M11.5 7.5l6-2.5M21 7.5 27 5" strokeWidth="3.4" strokeLinecap="round" />
  </svg>
);

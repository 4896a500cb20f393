import "./no-eval";
import "@mantine/core/styles.css";
import "@fontsource-variable/atkinson-hyperlegible-next/index.css";
import "./page.css";
import { MantineProvider } from "@mantine/core";
import { QueryClient, QueryClientProvider } from "@tanstack/react-query";
import { RouterProvider } from "@tanstack/react-router";
import { createRoot } from "react-dom/client";
import { Trouble } from "./client";
import { router } from "./routes";
import { theme, variables } from "./theme";

const queries = new QueryClient({
  defaultOptions: {
    queries: {
      staleTime: 30_000,
      retry: (count, reason) => count < 2 && reason instanceof Trouble && reason.problem.status >= 500,
    },
  },
});

createRoot(document.getElementById("page")!).render(
  <MantineProvider theme={theme} cssVariablesResolver={variables} defaultColorScheme="auto">
    <QueryClientProvider client={queries}>
      <RouterProvider router={router} />
    </QueryClientProvider>
  </MantineProvider>,
);

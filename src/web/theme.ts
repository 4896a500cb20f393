import { createTheme, type CSSVariablesResolver, defaultVariantColorsResolver, type MantineColorsTuple } from "@mantine/core";

/**
 * A workroom wall, not a control panel: linen, paper, ink, one accent for now and change. The interface stays
 * quiet so that thread is the only saturated colour on the page. Names below are CSS variables --sw-….
 */
const light = {
  ground: "#F4EFE5",
  paper: "#FFFDF8",
  ink: "#262A33",
  "ink-2": "#5D6170",
  hairline: "#E0D8C8",
  edge: "#8A8478",
  accent: "#B34A25",
  "accent-soft": "#FBEAE2",
  done: "#2F6B4F",
  "done-soft": "#E6F0E8",
  late: "#A3231F",
  "late-soft": "#FAE7E4",
  caution: "#F7EBCD",
  "caution-ink": "#6B4A05",
  lane: "#FAF5EA",
  /** Words on a filled button: fills are deep by day and pale in the evening. */
  "on-fill": "#FFFFFF",
};

const dark: typeof light = {
  ground: "#171A20",
  paper: "#20242C",
  ink: "#ECE7DC",
  "ink-2": "#B4B0A6",
  hairline: "#383D48",
  edge: "#8B8F9B",
  accent: "#F08A5D",
  "accent-soft": "#3A2A24",
  done: "#7CC5A0",
  "done-soft": "#22332B",
  late: "#FF8F85",
  "late-soft": "#3B2423",
  caution: "#3B3320",
  "caution-ink": "#F3DCA0",
  lane: "#1C2027",
  "on-fill": "#171A20",
};

const asVariables = (colours: typeof light) => Object.fromEntries(Object.entries(colours).map(([name, value]) => [`--sw-${name}`, value]));

export const variables: CSSVariablesResolver = () => ({
  variables: {},
  light: { ...asVariables(light), "--mantine-color-body": light.ground, "--mantine-color-text": light.ink, "--mantine-color-dimmed": light["ink-2"], "--mantine-color-default-border": light.hairline, "--mantine-color-error": light.late, "--mantine-color-anchor": light.ink, "--mantine-color-placeholder": "#6F7280" },
  dark: { ...asVariables(dark), "--mantine-color-body": dark.ground, "--mantine-color-text": dark.ink, "--mantine-color-dimmed": dark["ink-2"], "--mantine-color-default-border": dark.hairline, "--mantine-color-error": dark.late, "--mantine-color-anchor": dark.ink, "--mantine-color-placeholder": "#9BA0AD", "--mantine-color-default": dark.paper },
});

const ink: MantineColorsTuple = ["#f3f3f5", "#e4e5e8", "#c6c8cf", "#a6a9b4", "#8b8f9d", "#5d6170", "#3f434f", "#262a33", "#1c2027", "#12151a"];
const rust: MantineColorsTuple = ["#fbeae2", "#f3d2c3", "#e7a98f", "#dd8661", "#d2693f", "#c2542d", "#b34a25", "#963c1c", "#783016", "#5a2410"];
const leaf: MantineColorsTuple = ["#e6f0e8", "#cfe2d6", "#a5c9b4", "#7cb093", "#559876", "#3d805f", "#2f6b4f", "#25573f", "#1b4431", "#123223"];
const brick: MantineColorsTuple = ["#fae7e4", "#f3cbc6", "#e59b94", "#d56c63", "#c5453c", "#b5302a", "#a3231f", "#861b18", "#6a1512", "#4e0f0d"];

export const theme = createTheme({
  fontFamily: '"Atkinson Hyperlegible Next Variable", system-ui, sans-serif',
  headings: { fontFamily: '"Atkinson Hyperlegible Next Variable", system-ui, sans-serif', fontWeight: "700" },
  colors: { ink, rust, leaf, brick },
  primaryColor: "ink",
  primaryShade: { light: 7, dark: 2 },
  variantColorResolver: (input) => {
    const colours = defaultVariantColorsResolver(input);
    return input.variant === "filled" ? { ...colours, color: "var(--sw-on-fill)" } : colours;
  },
  autoContrast: true,
  luminanceThreshold: 0.35,
  defaultRadius: "md",
  fontSizes: { xs: "0.8125rem", sm: "0.9375rem", md: "1rem", lg: "1.125rem", xl: "1.375rem" },
  cursorType: "pointer",
  focusRing: "auto",
});

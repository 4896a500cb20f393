import {
  createTheme,
  type CSSVariablesResolver,
  defaultVariantColorsResolver,
  type MantineColorsTuple,
} from "@mantine/core";
import { type Colours, dark, light } from "./colours";

const asVariables = (colours: Colours) =>
  Object.fromEntries(Object.entries(colours).map(([name, value]) => [`--sw-${name}`, value]));

export const variables: CSSVariablesResolver = () => ({
  variables: {},
  light: {
    ...asVariables(light),
    "--mantine-color-body": light.ground,
    "--mantine-color-text": light.ink,
    "--mantine-color-dimmed": light["ink-2"],
    "--mantine-color-default-border": light.hairline,
    "--mantine-color-error": light.late,
    "--mantine-color-anchor": light.ink,
    "--mantine-color-placeholder": light.placeholder,
  },
  dark: {
    ...asVariables(dark),
    "--mantine-color-body": dark.ground,
    "--mantine-color-text": dark.ink,
    "--mantine-color-dimmed": dark["ink-2"],
    "--mantine-color-default-border": dark.hairline,
    "--mantine-color-error": dark.late,
    "--mantine-color-anchor": dark.ink,
    "--mantine-color-placeholder": dark.placeholder,
    "--mantine-color-default": dark.paper,
  },
});

const ink: MantineColorsTuple = [
  "#f3f3f5",
  "#e4e5e8",
  "#c6c8cf",
  "#a6a9b4",
  "#8b8f9d",
  "#5d6170",
  "#3f434f",
  "#262a33",
  "#1c2027",
  "#12151a",
];
const rust: MantineColorsTuple = [
  "#fbeae2",
  "#f3d2c3",
  "#e7a98f",
  "#dd8661",
  "#d2693f",
  "#c2542d",
  "#b34a25",
  "#963c1c",
  "#783016",
  "#5a2410",
];
const leaf: MantineColorsTuple = [
  "#e6f0e8",
  "#cfe2d6",
  "#a5c9b4",
  "#7cb093",
  "#559876",
  "#3d805f",
  "#2f6b4f",
  "#25573f",
  "#1b4431",
  "#123223",
];
const brick: MantineColorsTuple = [
  "#fae7e4",
  "#f3cbc6",
  "#e59b94",
  "#d56c63",
  "#c5453c",
  "#b5302a",
  "#a3231f",
  "#861b18",
  "#6a1512",
  "#4e0f0d",
];

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

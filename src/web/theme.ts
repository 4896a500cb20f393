import {
  createTheme,
  type CSSVariablesResolver,
  defaultVariantColorsResolver,
  type MantineColorsTuple,
} from "@mantine/core";
import { type Colours, dark, light } from "./colours";

const asVariables = (colours: Colours) =>
  Object.fromEntries(Object.entries(colours).map(([name, value]) => [`--sw-${name}`, value]));

const shared = (colours: Colours) => ({
  ...asVariables(colours),
  "--mantine-color-body": colours.ground,
  "--mantine-color-text": colours.ink,
  "--mantine-color-dimmed": colours["ink-2"],
  "--mantine-color-default": colours.paper,
  "--mantine-color-default-hover": colours.lane,
  "--mantine-color-default-color": colours.ink,
  "--mantine-color-default-border": colours.hairline,
  "--mantine-color-error": colours.late,
  "--mantine-color-anchor": colours.ink,
  "--mantine-color-placeholder": colours.placeholder,
});

export const variables: CSSVariablesResolver = () => ({
  variables: {},
  light: shared(light),
  dark: shared(dark),
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

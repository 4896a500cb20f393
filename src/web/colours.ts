/**
 * A workroom wall, not a control panel: linen, paper, ink, one accent for now and change. The interface stays
 * quiet so that thread is the only saturated colour on the page. Names below are CSS variables --sw-….
 */
export const light = {
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
  placeholder: "#6F7280",
};

export type Colours = typeof light;

export const dark: Colours = {
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
  placeholder: "#9BA0AD",
};

import { config } from "zod";

// The page's content policy allows no code made from text. Shapes are checked without it, and do not even ask
// whether they might: asking counts as a breach. Must be loaded before any shape.
config({ jitless: true });

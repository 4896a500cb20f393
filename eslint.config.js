import js from "@eslint/js";
import hooks from "eslint-plugin-react-hooks";
import tseslint from "typescript-eslint";

export default tseslint.config(
  { ignores: ["dist/", "node_modules/", "coverage/"] },
  js.configs.recommended,
  ...tseslint.configs.recommended,
  {
    rules: {
      "@typescript-eslint/no-unused-vars": ["error", { argsIgnorePattern: "^_", varsIgnorePattern: "^_" }],
      "@typescript-eslint/no-explicit-any": "error",
      "@typescript-eslint/consistent-type-imports": "error",
      eqeqeq: ["error", "always"],
    },
  },
  // The clock, chance and the console come in as arguments everywhere but at the outermost doors.
  {
    files: [
      "src/core/**/*.ts",
      "src/drawing/**/*.ts",
      "src/contract/**/*.ts",
      "src/app/**/*.ts",
      "src/store/**/*.ts",
    ],
    ignores: ["**/*.test.ts"],
    rules: {
      "no-console": "error",
      "no-restricted-properties": [
        "error",
        { object: "Math", property: "random", message: "Chance comes in as an argument." },
        { object: "Date", property: "now", message: "The clock comes in as an argument." },
      ],
      "no-restricted-syntax": [
        "error",
        {
          selector: "NewExpression[callee.name='Date'][arguments.length=0]",
          message: "The clock comes in as an argument.",
        },
      ],
    },
  },
  { files: ["src/web/**/*.{ts,tsx}"], ...hooks.configs.flat["recommended-latest"] },
  {
    files: ["**/*.mjs", "*.js"],
    languageOptions: {
      globals: {
        process: "readonly",
        console: "readonly",
        URL: "readonly",
        setTimeout: "readonly",
        clearTimeout: "readonly",
        fetch: "readonly",
        Buffer: "readonly",
      },
    },
  },
);

/** What the browser tells about where the studio is, as first guesses that a person sees and can change. */

/** Currencies of regions where the guess is worth making (ISO 4217 by ISO 3166); elsewhere the euro stands to be changed. */
const currencyOfRegion: Readonly<Record<string, string>> = {
  AU: "AUD",
  BG: "EUR",
  BR: "BRL",
  CA: "CAD",
  CH: "CHF",
  CN: "CNY",
  CZ: "CZK",
  DK: "DKK",
  GB: "GBP",
  HK: "HKD",
  HU: "HUF",
  IL: "ILS",
  IN: "INR",
  IS: "ISK",
  JP: "JPY",
  KR: "KRW",
  MX: "MXN",
  NO: "NOK",
  NZ: "NZD",
  PL: "PLN",
  RO: "RON",
  SE: "SEK",
  SG: "SGD",
  TR: "TRY",
  UA: "UAH",
  US: "USD",
  ZA: "ZAR",
};

/** Where cloth is measured in inches and paper comes as Letter. */
const inchRegions = new Set(["US"]);
const letterRegions = new Set(["US", "CA", "MX", "PH", "CL", "CO", "VE"]);

export interface Guess {
  readonly timeZone: string;
  readonly currency: string;
  readonly lengthUnit: "mm" | "inch";
  readonly paper: "A4" | "Letter";
}

/** `language` is a BCP 47 tag such as en-IE. */
export function guessFrom(language: string, timeZone: string): Guess {
  let region = "";
  try {
    region = new Intl.Locale(language).region ?? "";
  } catch {
    // A tag that is none tells nothing.
  }
  return {
    timeZone,
    currency: currencyOfRegion[region] ?? "EUR",
    lengthUnit: inchRegions.has(region) ? "inch" : "mm",
    paper: letterRegions.has(region) ? "Letter" : "A4",
  };
}

/** Every currency the browser knows, "EUR · euro", the common ones by code. */
export function currencyChoices(): { readonly value: string; readonly label: string }[] {
  const names = new Intl.DisplayNames(undefined, { type: "currency" });
  return Intl.supportedValuesOf("currency").map((code) => ({
    value: code,
    label: `${code} · ${names.of(code) ?? code}`,
  }));
}

/** Every time zone the browser knows, with the one given even where it is not listed (UTC is not). */
export function timeZoneChoices(current: string): string[] {
  const known = Intl.supportedValuesOf("timeZone");
  return [...new Set(["UTC", current, ...known])].filter(Boolean).sort();
}

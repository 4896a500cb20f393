import { Button, TextInput } from "@mantine/core";
import { type FormEvent, useState } from "react";
import { useChange } from "../asking";
import { codeOfFragment, codeWords } from "./way-on";

/** What a wrong code says stands under the code, what else goes wrong under the button. */
const ofCode = new Set(["code-wrong", "code-over", "code-tries"]);

export function PairingForm({
  wasTurnedOut,
  onJoined,
}: {
  readonly wasTurnedOut: boolean;
  readonly onJoined: (name: string) => void;
}) {
  const [code, setCode] = useState(() => codeOfFragment(location.hash));
  const wasScanned = codeOfFragment(location.hash) !== "";
  const [name, setName] = useState("");
  const [asked, setAsked] = useState(false);
  const pair = useChange("pairDevice", { lists: [], quiet: true });
  const problem = pair.error?.problem;
  const digits = code.replace(/\D/g, "");
  const send = (event: FormEvent) => {
    event.preventDefault();
    setAsked(true);
    if (digits.length !== 8 || name.trim() === "") return;
    pair.mutate(
      { body: { code: digits, name: name.trim() } },
      { onSuccess: ({ value }) => onJoined(value.name) },
    );
  };
  const codeError =
    problem && ofCode.has(problem.code)
      ? `${problem.detail} ${problem.advice}`
      : asked && digits.length !== 8
        ? "The code has eight digits."
        : undefined;
  return (
    <form className="sheet pairing-sheet" onSubmit={send} noValidate>
      {wasTurnedOut ? (
        <>
          <h1>This tablet is no longer let in</h1>
          <p>
            Ask at the studio’s computer. What was told here and has not been sent is kept, and goes out once
            this tablet is let in again under a new code.
          </p>
        </>
      ) : (
        <>
          <h1>Let this device in</h1>
          <p>
            At the studio’s computer, open <em>Studio</em>, then <em>Tablets and phones</em>: it shows a code
            that counts once.
          </p>
        </>
      )}
      <TextInput
        size="lg"
        label="Code"
        description={wasScanned ? "Taken from the picture you scanned" : "Eight digits"}
        value={code}
        onChange={(event) => setCode(event.currentTarget.value.slice(0, 20))}
        onBlur={() => digits.length === 8 && setCode(codeWords(digits))}
        inputMode="numeric"
        autoComplete="one-time-code"
        classNames={{ input: "pairing-code" }}
        error={codeError}
      />
      <TextInput
        size="lg"
        label="What is this device called?"
        description="What is told and changed here is noted under this name"
        placeholder="Tablet at machine 2"
        value={name}
        maxLength={60}
        onChange={(event) => setName(event.currentTarget.value)}
        autoComplete="off"
        error={asked && name.trim() === "" ? "A name is needed." : undefined}
      />
      {problem && !ofCode.has(problem.code) && (
        <p role="alert" className="pairing-trouble">
          {problem.detail} {problem.advice}
        </p>
      )}
      <Button type="submit" size="lg" loading={pair.isPending}>
        Let it in
      </Button>
      <p className="quiet pairing-small">
        Only on the studio’s own network: what goes between this device and the computer is not encrypted. At
        the computer itself, no code is needed at{" "}
        <a href={`http://127.0.0.1${location.port ? `:${location.port}` : ""}/`}>its own address</a>.
      </p>
    </form>
  );
}

import { Button } from "@mantine/core";

/** Puts a kept record out of the lists; undone like every change. */
export function PutAwayButton({
  isBusy,
  onPress,
}: {
  readonly isBusy: boolean;
  readonly onPress: () => void;
}) {
  return (
    <Button size="md" variant="subtle" color="gray" loading={isBusy} onClick={onPress}>
      Put it away
    </Button>
  );
}

export function PiecePage() {
  return null;
}

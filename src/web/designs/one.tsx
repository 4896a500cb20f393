export function DesignPage() {
  return null;
}

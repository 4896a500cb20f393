export function StudioPage() {
  return null;
}

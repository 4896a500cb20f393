export function ThreadsPage() {
  return null;
}

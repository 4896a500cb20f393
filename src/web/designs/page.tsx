export function DesignsPage() {
  return null;
}

export function ProductsPage() {
  return null;
}

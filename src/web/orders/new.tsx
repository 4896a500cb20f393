export function NewOrderPage() {
  return null;
}

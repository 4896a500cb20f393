export function TodayPage() {
  return null;
}

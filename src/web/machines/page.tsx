export function MachinesPage() {
  return null;
}

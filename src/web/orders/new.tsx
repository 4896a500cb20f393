import { Link } from "@tanstack/react-router";
import { PageHead } from "../parts/page-head";
import { OrderForm } from "./form";
import "../designs/back-link.css";
import "./orders.css";

/** An order typed by hand. */
export function NewOrderPage() {
  return (
    <>
      <Link to="/orders" className="back-link">
        ← Orders
      </Link>
      <PageHead title="New order" lead="Each line becomes as many pieces as you order of it." />
      <OrderForm order={null} />
    </>
  );
}

"""What is written of a job: sheets, tables, orders to suppliers, in whose name, and how they look before."""

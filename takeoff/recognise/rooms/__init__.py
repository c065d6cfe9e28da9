"""From what walls enclose to rooms, storeys and the proposed job."""

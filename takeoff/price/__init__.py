"""What a job costs: by rates or built up from hours, visits and materials; tax; decimal throughout."""

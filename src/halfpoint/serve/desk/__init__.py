"""What stands behind the organiser's desk."""

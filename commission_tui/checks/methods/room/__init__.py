"""Methods for the wall in its room: light on the stage, eyes, heat, sound."""

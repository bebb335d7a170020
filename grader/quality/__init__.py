"""What a photo can show, before it is judged: focus, exposure, light, scale, and the smallest marks it would show."""

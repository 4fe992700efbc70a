"""One setup in the golfer's plane: joints, outlines, trunk, shaft and ball as the measures need them; pure."""

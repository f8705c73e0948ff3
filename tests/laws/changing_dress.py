"""A plain dress of rectangles, two halves of each piece sewn at the centre, for the tests of zips."""

BODY = {"hip": 960.0, "depth": 200.0}
DRESS = """language 1
style dress "Dress"
measurement depth "How far down the zip goes below the waist"
    kind length
    plausible 1 cm to 50 cm
measure hip, depth
piece bodice "Bodice"
    cut 2
    point B0 start
    point B1 B0 down 40 cm
    point B3 B0 across hip / 2
    point B2 B3 down 40 cm
    line neck   B0 to B3
    line side   B3 to B2
    line waist  B1 to B2
    line centre B0 to B1
    outline neck, side, waist, centre
    {bodice}
piece skirt "Skirt"
    cut 2
    point S0 start
    point S1 S0 down 50 cm
    point S3 S0 across hip / 2
    point S2 S3 down 50 cm
    point zip_end S0 down depth
    line top    S0 to S3
    line side   S3 to S2
    line hem    S1 to S2
    line centre S0 to S1
    outline top, side, hem, centre
    {skirt}
sew bodice.centre to bodice.centre
sew skirt.centre to skirt.centre
sew bodice.waist to skirt.top
"""

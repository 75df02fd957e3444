; What the old controller of the demonstration swap reported before it was unplugged.
; Invented for this example: saved from a terminal, with what terminals add and lose.
; Traps to learn from: a switch position that no longer counts, a steps value that somebody bent until a test cube
; measured right, a thermometer constant that was fitted to the old input, and lines that arrived in pieces.
start
ready.
> M503
report: the settings now in use
report:  G21 ; millimetres
report: steps for each millimetre
report:  M92 X80.00 Y80.32 Z400.00 E414.60
report: highest speeds, mm/s
report:  M203 X180.00 Y150.00 Z10.00 E45.00
report: highest accelerations, mm/s2
report:  M201 X1500 Y1000 Z100 E3000
report: acceleration while printing, for filament alone, while travelling
report:  M204 P1000.00 R2500.00 T1200.00
report: sudden changes of speed
report:  M205 X8.00 Y8.00 Z0.30 E4.00
report: shift of the zero point
report:  M206 X0.00 Y0.00 Z-0.35
report: control of the hot end
report:  M301 P19.62 I1.31 D73.40
report: control of the bed
report:  M304 P148.20 I21.70 D253.00
report: thermometers: resistance at 25 degrees, constant B, pull-up
report:  M305 P0 T100000 B4036 R4700
report:  M305 P1 T100000 B3950 R4700
report: warm-up values
report:  M145 S0 H205 B60 F255
report:  M145 S1 H230 B95 F0
report: filament
report:  M200 D1.75
 M9
2 X80.00 Y8
rep#rt: M851 X-?? Y
done
> M105
ok T:21.56 /0.00 B:21.88 /0.00 @:0 B@:0
> M104 S205
ok
> M105
ok T:63.4 /205.0 B:21.9 /0.0 @:127 B@:0
ok T:118.9 /205.0 B:22.0 /0.0 @:127 B@:0
ok T:171.2 /205.0 B:22.1 /0.0 @:127 B@:0
ok T:20?.7 /205.0 B:22.
ok T:205.4 /205.0 B:22.3 /0.0 @:61 B@:0
> M104 S0
ok
> M114
X:0.00 Y:0.00 Z:0.00 E:0.00
ok

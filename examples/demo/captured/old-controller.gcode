; What the old controller of the demonstration swap reported before it was unplugged.
; Invented for this example: saved from a terminal, with what terminals add and lose.
; Traps to learn from: a switch position that no longer counts, a steps value that somebody bent until a test cube
; measured right, a thermometer constant that was fitted to the old input, a word that no row explains, and lines that
; arrived in pieces.
awake
> M503
M7670 V1 H234.0 A92.0 P0.0 (warm-up [°C])
M9652 X7.000 Y7.000 Z0.270 E3.600 (instantaneous speed change [mm/s])
M304 P390.60 I57.20 D666.70 (control)
M92 X80.000 Y80.320 Z400.000 E417.500 (steps per length [step/mm])
M200 D1.75 (filament diameter [mm])
M7670 V0 H208.0 A57.0 P672.0 (warm-up [°C])
M6040 Q0 I100000.0 A4036.0 D4700.0 (thermistor: at 25 degrees, constant, pull-up [Ω])
M9398 X0.000 Y0.000 Z-0.350 (home offset [mm])
M9609 Q1000.0 L2500.0 U1200.0 (acceleration: printing, filament alone, travelling [mm/s2])
M7316 Q0.064 (pressure of the filament)
M201 X1500 Y1000 Z100 E3000 (maximum acceleration [mm/s2])
M301 P51.700 I3.450 D193.400 (control)
M6040 Q1 I100000 A3950 D4700 (thermistor: at 25 degrees, constant, pull-up [Ω])
M203 X180.0 Y150.0 Z10.0 E45.0 (highest speed [mm/s])
 M9
2 X80.00 Y8
pr#be M5384 X-?? Y
no more
> M105
B:21.9 /0 T:21.6 /0 B@:0 @:0
> M104 S210
> M105
B:21.9 /0 T:63.4 /210 B@:0 @:729
B:22.0 /0 T:118.9 /210 B@:0 @:729
B:22.1 /0 T:171.2 /210 B@:0 @:729
B:22.2 /0 T:20?.7 /210 B@
B:22.3 /0 T:210.4 /210 B@:0 @:350
> M104 S0
> M114
X:0.00 Y:0.00 Z:0.00 E:0.00

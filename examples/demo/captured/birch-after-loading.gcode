; Invented for this example, nothing was asked: what the new controller of Birch B6 reports after it was loaded, before it is told
; anything. The numbers are those it came with; that it knows these words and letters is what counts.
> M503
-- instantaneous speed change [mm/s] --
01> M7003 X5.6 Y4.9 Z0.16 E2.2
-- maximum acceleration [mm/s2] --
02> M201 X1700 Y800 Z110 E2100
-- steps per length [step/mm] --
03> M92 X88 Y80 Z280 E420
-- sensor pull-up resistor [Ω] --
04> M7952 U1 D2200 B130000 R2400
-- preheat temperature, hot end [°C] --
05> M7661 C1 A220 J74 F0
-- microsteps --
06> M350 X16 Y32 Z8 E16
-- sensor pull-up resistor [Ω] --
07> M7952 U0 D2200 B130000 R4600
-- motor current, rms [mA] --
08> M906 X710 Y540 Z710 E510
-- filament diameter [mm] --
09> M200 D1.75
-- probe offset [mm] --
10> M5869 X0 Y0 Z0
-- preheat temperature, hot end [°C] --
11> M7661 C0 A260 J57 F400
-- printing acceleration [mm/s2] --
12> M7648 D900 K3300 W1200
-- maximum speed [mm/s] --
13> M203 X160 Y200 Z12 E36
-- proportional gain Kp --
14> M304 P110 I0.95 D0
15> M301 P22 I1.3 D0
-- home offset [mm] --
16> M7666 X0 Y0 Z0
-- that is all --

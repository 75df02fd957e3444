; What the old controller of the third example reported before it was unplugged.
; Invented for this example; drawn (`cargo xtask invent`).
> M503
* M203 X160.000 Y160.000 Z12.000 E40.000
* M201 X2000.000 Y2000.000 Z120.000 E2500.000
* M200 D1.750
* M7328 X8.000 Y8.000 Z0.300 E4.000
* M92 X80.000 Y80.000 Z800.000 E323.700
* M304 P118.000 I4.200 D830.000
* M9635 X0.000 Y0.000 Z-0.210
* M7804 B1200.000
* M301 P44.100 I2.730 D178.000
* end

; A small program for an 8-bit core: 35 vectors of jumps, two loops, one variable.
        .section .vectors,"ax",@progbits
        jmp start
        .rept 34
        jmp stop
        .endr
        .text
start:  ldi r16, lo8(0x21ff)
        out 0x3d, r16
        ldi r16, hi8(0x21ff)
        out 0x3e, r16
loop:   lds r24, counter
        inc r24
        sts counter, r24
        rjmp loop
stop:   rjmp stop
        .data
counter: .byte 5
        .section .bss
        .space 100

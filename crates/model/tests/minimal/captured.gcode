; invented
